"""The command advise, from outside."""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import bridgewire
from bridgewire.diagnostics import Finding, Severity
from bridgewire.remedies.judge import State
from bridgewire.remedies.numbered import numbered
from bridgewire.remedies.remedy import Advice
from bridgewire.report.advice_text import advice_text
from bridgewire.report.plain_text import columns
from bridgewire.timeline.outcomes import Verdict
from tests.cli.running import COMMAND, environment, run_command, run_on_terminal
from tests.remedies import shows

SCHEMA = Path(bridgewire.__file__).parent / "schemas" / "advice-1.json"
EXAMPLES = Path(__file__).parents[2] / "examples"
COLUMNS = '[cue_list.columns]\nid = "id"\nfire = "fire"\ntime_s = "time_s"\npulse_s = "pulse_s"\n'
HOSTILE = "<script>&amp;\u202egnol" + "x" * 30


def written(folder: Path, text: str = shows.SHORT_PULSE) -> Path:
    file = folder / "show.toml"
    file.write_text(text, encoding="utf-8")
    return file


def as_json(*arguments: str) -> tuple[int, Any]:
    done = run_command("advise", *arguments, "--format", "json")
    assert done.returncode in (0, 1), done.stderr
    data = json.loads(done.stdout)
    jsonschema.validate(data, json.loads(SCHEMA.read_text(encoding="utf-8")))
    return done.returncode, data


def numbers(data: Any) -> list[int]:
    found = [r["number"] for r in data["several"]]
    return found + [r["number"] for g in data["groups"] for r in g["remedies"]]


def test_json_is_by_its_schema_and_the_same_each_time(tmp_path: Path) -> None:
    code, data = as_json(str(written(tmp_path, shows.HOLD_OFF)))
    again = as_json(str(tmp_path / "show.toml"))
    assert (code, data) == again
    assert numbers(data) == list(range(1, len(numbers(data)) + 1))
    assert [g["cues"] for g in data["groups"]] == [["again"]]
    assert data["currency"] == "EUR"


def test_the_schema_is_printed() -> None:
    done = run_command("schema", "advice")
    assert done.stdout == SCHEMA.read_text(encoding="utf-8")
    jsonschema.Draft202012Validator.check_schema(json.loads(done.stdout))


@pytest.mark.parametrize("width", [80, 120])
def test_no_line_is_wider_than_asked(width: int, tmp_path: Path) -> None:
    done = run_command("advise", str(written(tmp_path)), "--width", str(width))
    assert done.returncode == 0
    assert all(columns(line) <= width for line in done.stdout.splitlines())
    assert "1. " in done.stdout
    assert "Cautions" in done.stdout


def test_ids_from_outside_do_no_harm_and_keep_the_width(tmp_path: Path) -> None:
    text = shows.HEAD + shows.strip("west") + shows.run("heron-1/1", "west", 42)
    text += shows.igniter("comet", "west/1") + shows.cue(HOSTILE, "heron-1/1/1", 10, 0.5)
    done = run_command("advise", str(written(tmp_path, text)))
    assert done.returncode == 0, done.stderr
    assert "\u202e" not in done.stdout
    assert all(columns(line) <= 80 for line in done.stdout.splitlines())


def test_a_clear_show_has_nothing_to_change() -> None:
    done = run_command("advise", str(EXAMPLES / "midwinter-small.toml"))
    assert done.returncode == 0
    assert "there is nothing to change" in done.stdout


def test_a_cue_without_a_remedy_makes_the_exit_code_1(tmp_path: Path) -> None:
    many = "".join(shows.igniter(f"comet {n}", "west/1") for n in range(40))
    text = shows.HEAD + shows.strip("west") + shows.run("heron-1/1", "west", 500) + many
    text += shows.cue("go", "heron-1/1/1", 10, 0.05)
    done = run_command("advise", str(written(tmp_path, text)))
    assert done.returncode == 1
    assert "no remedy found" in done.stdout


@pytest.mark.parametrize(
    ("tried", "words"),
    [
        (0, "no remedy found: there is no change that could be tried"),
        (1, "no remedy found: 1 change tried, alone or together; none makes it fire surely"),
        (7, "no remedy found: 7 changes tried, alone or together; none makes it fire surely"),
    ],
)
def test_what_was_tried_in_vain_is_said(tried: int, words: str) -> None:
    found = Finding("FIR001", "it does not light", Severity.ERROR, subjects=("go",))
    state = State(Verdict.NO, 0.5, None, (found,))
    advice = numbered([Advice(("go",), state, (found,), (), tried)])
    assert words in " ".join(advice_text("Regatta Night", advice).split())


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--cue", "goo"], "did you mean 'go'?"),
        (["--apply", "99"], "--apply 99: no such remedy, there are"),
        (["--yes"], "--yes are for --apply"),
        (["--to", "x.toml"], "--yes are for --apply"),
    ],
)
def test_wrong_usage_is_exit_code_2(arguments: list[str], words: str, tmp_path: Path) -> None:
    done = run_command("advise", str(written(tmp_path)), *arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_the_changed_show_goes_to_another_file(tmp_path: Path) -> None:
    source = written(tmp_path, "# first line\n" + shows.SHORT_PULSE)
    before = source.read_bytes()
    target = tmp_path / "mended.toml"
    done = run_command("advise", str(source), "--apply", "1", "--to", str(target))
    assert done.returncode == 0, done.stderr
    assert source.read_bytes() == before
    assert target.read_text(encoding="utf-8").startswith("# first line\n")
    assert "written to" in done.stderr
    assert run_command("advise", str(target)).stdout.count("FIR002") == 0
    again = run_command("advise", str(source), "--apply", "1", "--to", str(target))
    assert again.returncode == 2
    assert "say --yes" in again.stderr
    assert (
        run_command("advise", str(source), "--apply", "1", "--to", str(target), "--yes").returncode
        == 0
    )


def test_in_place_only_when_asked(tmp_path: Path) -> None:
    source = written(tmp_path)
    before = source.read_bytes()
    refused = run_command("advise", str(source), "--apply", "1")
    assert refused.returncode == 2
    assert "would be changed" in refused.stderr
    assert source.read_bytes() == before
    assert run_command("advise", str(source), "--apply", "1", "--yes").returncode == 0
    assert source.read_bytes() != before


@pytest.mark.parametrize(("answer", "changed"), [("y\n", True), ("n\n", False), ("\x04", False)])
def test_a_person_is_asked(answer: str, changed: bool, tmp_path: Path) -> None:
    source = written(tmp_path)
    before = source.read_bytes()
    main, side = pty.openpty()
    process = subprocess.Popen(
        [*COMMAND, "advise", str(source), "--apply", "1"],
        stdin=side,
        stdout=side,
        stderr=side,
        env=environment({"COLUMNS": "80"}),
        close_fds=True,
    )
    os.close(side)
    shown, answered = b"", False
    while True:
        try:
            chunk = os.read(main, 65536)
        except OSError:
            break
        shown += chunk
        if not answered and b"[y/N]" in shown:
            os.write(main, answer.encode())
            answered = True
    os.close(main)
    code = process.wait(timeout=120)
    assert answered, shown
    assert (source.read_bytes() != before) is changed
    assert (code == 0) is changed


def test_several_remedies_are_made_together(tmp_path: Path) -> None:
    text = shows.SHORT_PULSE + shows.cue("empty", "heron-1/2/1", 60, 0.05)
    source = written(tmp_path, text)
    _, data = as_json(str(source))
    first = [min(r["number"] for r in g["remedies"]) for g in data["groups"]]
    assert len(first) == 2
    apply = [a for n in first for a in ("--apply", str(n))]
    done = run_command("advise", str(source), *apply, "--to", str(tmp_path / "both.toml"))
    assert done.returncode == 0, done.stderr
    assert as_json(str(tmp_path / "both.toml"))[1]["groups"] == []


def test_remedies_that_contradict_each_other_are_refused(tmp_path: Path) -> None:
    source = written(tmp_path, shows.CHAIN)
    _, data = as_json(str(source))
    pulses = [
        r["number"]
        for g in data["groups"]
        for r in g["remedies"]
        if [c["kind"] for c in r["changes"]] == ["longer-pulse"]
    ]
    assert len(pulses) > 1
    apply = [a for n in pulses[:2] for a in ("--apply", str(n))]
    done = run_command("advise", str(source), *apply, "--to", str(tmp_path / "x.toml"))
    assert done.returncode == 2
    assert "contradict each other" in done.stderr
    assert not (tmp_path / "x.toml").exists()


def test_cues_of_a_csv_list_are_changed_there(tmp_path: Path) -> None:
    head, cues = shows.SHORT_PULSE.split("[[cue]]")
    assert 'id = "go"' in cues
    source = written(tmp_path, head + '[cue_list]\nfile = "cues.csv"\n' + COLUMNS)
    table = tmp_path / "cues.csv"
    table.write_text("id,fire,time_s,pulse_s\ngo,heron-1/1/1,10,0.5\n", encoding="utf-8")
    _, data = as_json(str(source))
    (number,) = [
        r["number"]
        for g in data["groups"]
        for r in g["remedies"]
        if [c["kind"] for c in r["changes"]] == ["longer-pulse"]
    ][:1]
    done = run_command("advise", str(source), "--apply", str(number), "--yes")
    assert done.returncode == 0, done.stderr
    assert table.read_text(encoding="utf-8").startswith(
        "id,fire,time_s,pulse_s\ngo,heron-1/1/1,10,"
    )
    assert "0.5\n" not in table.read_text(encoding="utf-8")


@pytest.mark.parametrize("ending", ["json", "yaml"])
def test_shows_that_are_no_toml_are_not_changed(ending: str, tmp_path: Path) -> None:
    import tomllib

    data = tomllib.loads(shows.SHORT_PULSE)
    file = tmp_path / f"show.{ending}"
    file.write_text(json.dumps(data), encoding="utf-8")  # JSON is YAML too
    assert run_command("advise", str(file)).returncode == 0
    done = run_command("advise", str(file), "--apply", "1", "--to", str(tmp_path / "new.toml"))
    assert done.returncode == 2
    assert "only TOML shows can be changed" in done.stderr
    assert "Traceback" not in done.stderr


def test_without_tomlkit_the_extra_is_named(tmp_path: Path) -> None:
    source = written(tmp_path)
    script = (
        "import sys; sys.modules['tomlkit'] = None; from bridgewire.cli.main import run; "
        f"sys.exit(run(['advise', {str(source)!r}, '--apply', '1', '--yes']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        encoding="utf-8",
        env=environment(),
        check=False,
    )
    assert done.returncode == 2
    assert "pip install 'bridgewire[advise]'" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_terminal_of_80_columns_shows_it(tmp_path: Path) -> None:
    code, shown = run_on_terminal("advise", str(written(tmp_path)))
    assert code == 0
    assert "what to change" in shown
    assert "Traceback" not in shown
