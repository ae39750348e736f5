"""``bridgewire bench predict``: exit codes, text at 80 columns, JSON, bad input."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.report.plain_text import columns
from tests.bench.design.lawn import RECORD, SEEN, SHOW, TRIAL
from tests.bench.predict.taught import CLASS, write_files
from tests.bench.setups import valid, with_trials
from tests.cli.running import run_command

HOSTILE = "<script>alert(1)<script> =1+1 ünï 灯"


def _run(folder: Path, *more: str) -> tuple[int, str, str]:
    done = run_command(
        "bench", "predict", str(folder / "show.toml"), "--kit-dir", str(folder), *more
    )
    return done.returncode, done.stdout, done.stderr


def test_better(tmp_path: Path) -> None:
    write_files(tmp_path)
    code, out, err = _run(tmp_path, "--kit", "taught", "--draws", "500")
    assert code == 0, err
    assert "go, x: marginal -> sure" in out
    assert "why margin: lance (threshold_A, tau_s): 100 % of it" in out
    assert "stays unlit with probability" in out
    assert "the kit has no samples" in out.lower()
    assert "A computed verdict is no permission to fire" in out
    assert all(columns(line) <= 80 for line in out.splitlines())


def test_worse_is_exit_code_1(tmp_path: Path) -> None:
    write_files(
        tmp_path,
        CLASS.replace("min = 0.8, typical = 0.85, max = 0.9", "min = 3, typical = 4, max = 5"),
    )
    code, out, _ = _run(tmp_path, "--kit", "taught", "--draws", "0")
    assert code == 1
    assert "(WORSE)" in out
    assert "stays unlit with" not in out


def test_json(tmp_path: Path) -> None:
    write_files(tmp_path, show=SHOW.replace('id = "x"', f'id = "{HOSTILE}"'))
    code, out, err = _run(tmp_path, "--kit", "taught", "--draws", "0", "--format", "json")
    assert code == 0, err
    data = valid(out, "bench-predict")
    [one] = data["igniters"]
    assert (one["before"]["verdict"], one["after"]["verdict"]) == ("marginal", "sure")
    assert one["before"]["light_s"]["never"]
    assert one["before"]["light_s"]["latest"] is None
    assert one["reasons"][0]["share"] == 1.0
    assert data["entries"][0]["id"] == "lance"
    assert one["igniter"].startswith("<script>")


def test_json_with_odds_and_findings_is_of_the_schema(tmp_path: Path) -> None:
    show = SHOW.replace("[[box]]", "[requirements]\nreliability = 0.999\n\n[[box]]", 1)
    worse = CLASS.replace("min = 0.8, typical = 0.85, max = 0.9", "min = 3, typical = 4, max = 5")
    write_files(tmp_path, worse, show)
    code, out, err = _run(tmp_path, "--kit", "taught", "--draws", "500", "--format", "json")
    assert code == 1, err
    data = valid(out, "bench-predict")
    assert data["program"]["name"] == "bridgewire"
    assert any("no permission to fire" in c for c in data["cautions"])
    assert (data["got_worse"], data["falls_short"]) == (True, True)
    assert data["new_findings"]
    assert data["igniters"][0]["after"]["light_s"]["never"]
    assert data["igniters"][0]["unlit_reasons"][0]["unlit_alone"] > 0.9
    assert data["no_unlit"]["after"]["high"] < 0.1


def test_hostile_titles_stay_off_the_terminal(tmp_path: Path) -> None:
    write_files(tmp_path, show=SHOW.replace('"Far end"', r'"Far \u001b[31m \u202e end"'))
    code, out, err = _run(tmp_path, "--kit", "taught", "--draws", "0")
    assert code == 0, err
    assert "\x1b" not in out
    assert "\u202e" not in out
    assert r"Far \x1b[31m" in out


def test_of_a_record(tmp_path: Path) -> None:
    write_files(tmp_path)
    record = tmp_path / "record.toml"
    record.write_text(with_trials(RECORD, TRIAL, SEEN), encoding="utf-8")
    code, out, err = _run(
        tmp_path,
        "--record",
        str(record),
        "--fit-draws",
        "200",
        "--effort",
        "quick",
        "--draws",
        "300",
    )
    assert code in (0, 1), err
    assert "with kit fitted-to-record" in out
    assert "draw the values that were learned as they go together" in out
    assert not list(tmp_path.glob("fitted*"))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ((), "name either a kit"),
        (("--kit", "taught", "--record", "r.toml"), "name either a kit"),
        (("--kit", "tought"), "taught"),
        (("--kit", "../taught"), "kit"),
        (("--record", "missing.toml"), "missing.toml"),
        (("--kit", "taught", "--draws", "-1"), "--draws"),
    ],
)
def test_bad_usage(tmp_path: Path, more: tuple[str, ...], said: str) -> None:
    write_files(tmp_path)
    code, out, err = _run(tmp_path, *more)
    assert code == 2
    assert said in err
    assert not out
    assert "Traceback" not in err


def test_record_without_shots(tmp_path: Path) -> None:
    write_files(tmp_path)
    record = tmp_path / "record.toml"
    record.write_text(RECORD, encoding="utf-8")
    code, _, err = _run(tmp_path, "--record", str(record))
    assert code == 2
    assert "no shots to learn from" in err


def test_the_show_is_not_overwritten(tmp_path: Path) -> None:
    show = str(write_files(tmp_path))
    code, _, err = _run(tmp_path, "--kit", "taught", "--output", show)
    assert code == 2
    assert "cannot write" in err
    assert Path(show).read_text(encoding="utf-8") == SHOW
