"""``bridgewire bench next``: exit codes, text at 80 columns, JSON, files, bad input."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.bench.wiring import load_record
from bridgewire.report.plain_text import columns
from tests.bench.design.lawn import RECORD, SEEN, SHOW, TRIAL, lawn
from tests.bench.setups import valid, with_trials
from tests.cli.running import run_command

ASK = ("--cue", "go", "--within-s", "0.7", "--reliability", "0.9", "--draws", "200")
THREE = "".join(
    TRIAL.replace('"again"', f'"{n}"').replace("length_m = 45", f"length_m = {length}")
    for n, length in enumerate((10, 30, 50))
)


def _files(folder: Path, record: str = RECORD, show: str = SHOW) -> None:
    lawn(folder, record=record, show=show)
    (folder / "mine.toml").write_text(with_trials(RECORD, THREE), encoding="utf-8")


def _run(folder: Path, *more: str, show: bool = True) -> tuple[int, str, str]:
    about = ("--show", str(folder / "show.toml")) if show else ()
    done = run_command(
        "bench",
        "next",
        str(folder / "record.toml"),
        "--kit-dir",
        str(folder),
        *about,
        *more,
    )
    return done.returncode, done.stdout, done.stderr


def test_text_and_files(tmp_path: Path) -> None:
    _files(tmp_path)
    piece, form = tmp_path / "piece.toml", tmp_path / "form.csv"
    code, out, err = _run(
        tmp_path,
        *ASK,
        "--candidates",
        str(tmp_path / "mine.toml"),
        "--write",
        str(piece),
        "--form",
        str(form),
    )
    assert code == 0, err
    assert "is it at least 0.9 likely that all that cue 'go' means light within 0.7 s?" in " ".join(
        out.split()
    )
    assert "only the kit profiles speak" in " ".join(out.split())
    assert "eye protection" in " ".join(out.split())
    assert "Why: it informs" in out
    assert f"wrote {piece}" in out
    assert all(columns(line) <= 80 for line in out.splitlines() if "wrote" not in line)
    whole = tmp_path / "whole.toml"
    text = with_trials(RECORD, piece.read_text(encoding="utf-8"))
    whole.write_text(text, encoding="utf-8")
    assert len(load_record(whole, kit_dirs=[tmp_path]).record.trial) == 1
    assert form.read_text(encoding="utf-8").startswith("trial,shot,igniter")


def test_json_from_the_kit(tmp_path: Path) -> None:
    _files(tmp_path)
    code, out, err = _run(tmp_path, *ASK, "--format", "json", "--seed", "4")
    assert code == 0, err
    data = valid(out, "bench-next")
    assert data["looked_at"] > 40
    assert data["program"]["name"] == "bridgewire"
    assert any("eye protection" in c for c in data["cautions"])
    bits = [t["bits_per_igniter"] for t in data["trials"]]
    assert bits == sorted(bits, reverse=True)
    assert data["trials"][0]["tied_with_first"]
    assert 0.0 < data["trials"][0]["bits"] < data["question"]["open_bits"] <= 1.0
    assert data["trials"][0]["trial"]["shot"][0]["fire"] == "box/1/1"
    assert set(data["untried"]) >= {"batch/lawn:lance/threshold", "drum/lawn:reel"}


def test_of_a_record_with_shots(tmp_path: Path) -> None:
    _files(tmp_path, with_trials(RECORD, TRIAL, SEEN))
    fast = ("--fit-draws", "200", "--effort", "quick")
    mine = ("--candidates", str(tmp_path / "mine.toml"))
    code, out, err = _run(tmp_path, *ASK, *mine, *fast)
    assert code in (0, 1), err
    assert "only the kit profiles speak" not in out
    # The same question about the trial itself, made again.
    about = ("--trial", "again", "--igniter", "x", "--reliability", "0.9", "--draws", "200")
    code, out, err = _run(tmp_path, *about, *mine, *fast, show=False)
    assert code in (0, 1), err
    assert "'x' in shot '1' of trial 'again', made again, lights within its pulse" in " ".join(
        out.split()
    )


def test_a_settled_question_is_said_to_be_settled(tmp_path: Path) -> None:
    _files(tmp_path)
    mine = ("--candidates", str(tmp_path / "mine.toml"))
    code, out, err = _run(tmp_path, *ASK, "--within-s", "0.05", *mine)
    assert code == 0, err
    assert "No further igniter need be spent" in " ".join(out.split())
    assert "So far: no, with probability above 0.999" in out


def test_nothing_tells_anything(tmp_path: Path) -> None:
    """A pulse so short that nothing lights: exit code 1, unless the question is settled."""
    _files(tmp_path)
    file = tmp_path / "mine.toml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("pulse_s = 1.0", "pulse_s = 0.001"),
        encoding="utf-8",
    )
    code, out, err = _run(tmp_path, *ASK, "--candidates", str(file))
    assert code == 1, err
    assert "tells clearly more than nothing" in " ".join(out.split())


def test_requirement_of_the_show_is_used(tmp_path: Path) -> None:
    show = SHOW.replace("[[box]]", "[requirements]\nreliability = 0.8\n\n[[box]]", 1)
    _files(tmp_path, show=show)
    mine = ("--candidates", str(tmp_path / "mine.toml"), "--draws", "100")
    code, out, err = _run(tmp_path, "--cue", "go", *mine, "--format", "json")
    assert code in (0, 1), err
    assert valid(out, "bench-next")["question"]["required"] == 0.8


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ((), "--show needs --cue"),
        (("--cue", "gone", "--reliability", "0.9"), "did you mean 'go'"),
        (("--cue", "go"), "states no reliability"),
        (("--cue", "go", "--reliability", "1"), "--reliability"),
        (("--cue", "go", "--reliability", "nan"), "--reliability"),
        (("--cue", "go", "--within-s", "0"), "--within-s"),
        (("--cue", "go", "--within-s", "inf"), "--within-s"),
        (("--cue", "go", "--igniter", "y", "--reliability", "0.9"), "no igniter 'y'"),
        (("--cue", "go", "--trial", "again"), "ask about a show"),
        (("--cue", "go", "--shot", "1"), "--shot goes with --trial"),
        (("--cue", "go", "--reliability", "0.9", "--candidates", "none.toml"), "none.toml"),
    ],
)
def test_bad_usage(tmp_path: Path, more: tuple[str, ...], said: str) -> None:
    _files(tmp_path)
    code, out, err = _run(tmp_path, *more)
    assert code == 2, out
    assert said in err
    assert not out
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--trial", "agian", "--igniter", "x"), "did you mean 'again'"),
        (("--trial", "again"), "--trial needs --igniter"),
        (("--trial", "again", "--igniter", "z"), "no igniter 'z'"),
        (("--trial", "again", "--igniter", "x", "--shot", "9"), "no shot '9'"),
        (("--trial", "again", "--igniter", "x"), "Give --reliability"),
        ((), "ask about a show"),
    ],
)
def test_bad_usage_about_a_trial(tmp_path: Path, more: tuple[str, ...], said: str) -> None:
    _files(tmp_path, with_trials(RECORD, TRIAL))
    code, _, err = _run(tmp_path, *more, show=False)
    assert code == 2
    assert said in err


def test_inputs_are_not_overwritten(tmp_path: Path) -> None:
    _files(tmp_path)
    code, _, err = _run(tmp_path, *ASK, "--write", str(tmp_path / "record.toml"))
    assert code == 2
    assert "cannot write" in err
    assert (tmp_path / "record.toml").read_text(encoding="utf-8") == RECORD


def test_missing_kit_data_has_a_place_and_no_answer(tmp_path: Path) -> None:
    _files(tmp_path)
    kit = tmp_path / "lawn.toml"
    text = kit.read_text(encoding="utf-8")
    cut = "internal_ohm = { min = 0.2, typical = 0.5, max = 1.2 }\n"
    kit.write_text(text.replace(cut, ""), encoding="utf-8")
    code, _, err = _run(tmp_path, *ASK)
    assert code == 2
    assert "KIT001" in err
    assert "show.toml:" in err
