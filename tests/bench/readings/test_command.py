"""``bridgewire readings``: template, exit codes, text at 80 columns, JSON."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from bridgewire.bench.meter.expected import expected_resistances
from bridgewire.report.plain_text import columns
from bridgewire.report.readings_template import HEADINGS, readings_template
from bridgewire.rules.registry import load_rule, rule_files
from tests.bench.readings.shows import IGNITERS, POND, assessed, igniter
from tests.bench.setups import valid
from tests.cli.running import run_command, run_on_terminal

MIDWINTER = str(Path("examples/midwinter-small.toml").resolve())
EXAMPLE = str(Path("examples/midwinter-readings.csv").resolve())
GOOD = (
    "circuit,place,reading_ohm\nheron-1/1/1,west,1.7\nheron-1/1/1,east,1.7\n"
    "heron-1/1/2,west,1.75\nheron-1/1/3,east,1.72\n"
)


def _file(folder: Path, text: str) -> str:
    file = folder / "r.csv"
    file.write_text(text, encoding="utf-8")
    return str(file)


def test_good_readings(tmp_path: Path) -> None:
    done = run_command("readings", MIDWINTER, _file(tmp_path, GOOD))
    assert done.returncode == 0, done.stderr
    assert "All readings are in order." in done.stdout
    assert "±1 % ±0.1 Ω" in done.stdout
    assert "Cautions" in done.stdout


def test_example_has_faults_and_fits_80_columns() -> None:
    done = run_command("readings", MIDWINTER, EXAMPLE, "-v")
    assert done.returncode == 1, done.stderr
    assert "Not in order." in done.stdout
    assert all(columns(line) <= 80 for line in done.stdout.splitlines())


def test_terminal_of_80_columns() -> None:
    code, shown = run_on_terminal("readings", MIDWINTER, EXAMPLE)
    assert code == 1
    assert "Circuits that are off" in shown


@pytest.mark.parametrize(("fail_on", "code"), [("error", 0), ("warning", 1), ("info", 1)])
def test_fail_on(fail_on: str, code: int, tmp_path: Path) -> None:
    part = _file(tmp_path, GOOD.rsplit("\n", 2)[0] + "\n")
    done = run_command("readings", MIDWINTER, part, "--fail-on", fail_on)
    assert done.returncode == code
    assert "not all is measured" in done.stdout
    assert "REC005" in done.stdout


def test_bad_file_shows_every_problem(tmp_path: Path) -> None:
    bad = _file(tmp_path, "circuit,place,reading_ohm\nheron-1/1/9,west,1\nheron-1/1/1,west,x\n")
    done = run_command("readings", MIDWINTER, bad)
    assert done.returncode == 2
    assert "r.csv:2:1: REC001" in done.stderr
    assert "r.csv:3:18: REC001" in done.stderr
    assert "2 problems" in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize(
    "arguments",
    [
        [MIDWINTER],
        [MIDWINTER, EXAMPLE, "--template"],
        [MIDWINTER, EXAMPLE, "--meter-pct", "-1"],
        [MIDWINTER, EXAMPLE, "--meter-ohm", "nan"],
        [MIDWINTER, EXAMPLE, "--leads-ohm", "inf"],
        ["none.toml", EXAMPLE],
        [MIDWINTER, "none.csv"],
        [EXAMPLE, EXAMPLE],
    ],
)
def test_bad_usage(arguments: list[str]) -> None:
    done = run_command("readings", *arguments)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert done.stderr


def test_readings_are_not_overwritten(tmp_path: Path) -> None:
    file = _file(tmp_path, GOOD)
    done = run_command("readings", MIDWINTER, file, "--output", file)
    assert done.returncode == 2
    assert "cannot write" in done.stderr
    assert Path(file).read_text(encoding="utf-8") == GOOD


def test_json(tmp_path: Path) -> None:
    out = tmp_path / "out.json"
    done = run_command("readings", MIDWINTER, EXAMPLE, "--format", "json", "--output", str(out))
    assert done.returncode == 1
    data = valid(out.read_text(encoding="utf-8"), "readings")
    assert data["format"] == 1
    assert data["cautions"]
    statuses = {r["status"] for r in data["readings"]}
    assert {"as expected", "outside", "open"} <= statuses
    for d in data["diagnoses"]:
        assert sum(c["probability"] for c in d["causes"]) <= 1.00001
        assert d["causes"][0]["rank"] == 1
    assert {f["code"] for f in data["findings"]} <= set(rule_files())


def test_json_of_every_sort_of_row_is_of_the_schema(tmp_path: Path) -> None:
    """Blank, behind a diode, after the show, without a next measurement, out of line."""
    rows = [
        "heron-1/1/1,box,before,5",
        "heron-1/1/1,west,before,0",
        "heron-1/1/1,east,before,",
        "heron-1/1/2,west,after,1.7",
        "heron-1/1/2,west,before,open",
        "heron-1/1/3,east,before,1.9",
    ]
    file = _file(tmp_path, "circuit,place,moment,reading_ohm\n" + "\n".join(rows))
    done = run_command("readings", MIDWINTER, file, "--format", "json")
    assert done.returncode == 1
    data = valid(done.stdout, "readings")
    assert [r["status"] for r in data["readings"]] == [
        "not judged", "shorted", "not measured", "closed after show", "open", "near the edge"
    ]  # fmt: skip
    regatta = ["examples/regatta-night/show.toml", "examples/regatta-readings.csv"]
    more = ["--meter-pct", "0.5", "--meter-ohm", "0.02", "--format", "json"]
    data = valid(run_command("readings", *regatta, *more).stdout, "readings")
    assert "REC010" in {f["code"] for f in data["findings"]}


@pytest.mark.parametrize("delimiter", ["comma", "semicolon", "tab"])
def test_template_round_trip(delimiter: str, tmp_path: Path) -> None:
    out = tmp_path / "t.csv"
    made = run_command(
        "readings", MIDWINTER, "--template", "--moment", "both", "--delimiter", delimiter,
        "--output", str(out),
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    assert b"\r\n" in out.read_bytes()
    done = run_command("readings", MIDWINTER, str(out), "--format", "json")
    assert done.returncode == 0, done.stderr
    data = json.loads(done.stdout)
    assert {r["status"] for r in data["readings"]} == {"not measured"}
    assert len(data["readings"]) == 8
    assert len(data["not_measured"]) == 6


def test_template_is_safe_in_a_spreadsheet_and_reads_back(tmp_path: Path) -> None:
    hostile = (POND + IGNITERS).replace("teal-1", "=1+1").replace('"near', '"@near')
    a = assessed(hostile, tmp_path)
    text = readings_template(expected_resistances(a))
    rows = list(csv.reader(io.StringIO(text)))
    assert rows[0] == list(HEADINGS)
    assert all(not cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)
    filled = "\r\n".join(
        ",".join([*row[:3], row[5] if row[2] == "before" else "", *row[4:]]) for row in rows[1:]
    )
    file = _file(tmp_path, ",".join(rows[0]) + "\r\n" + filled)
    done = run_command("readings", str(tmp_path / "show.toml"), file)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "off" in done.stdout


def test_hostile_names_do_no_harm_on_a_terminal(tmp_path: Path) -> None:
    wild = POND + igniter("near/1").replace('id = "near 1"', 'id = "<b>灯"')
    (tmp_path / "show.toml").write_text(wild, encoding="utf-8")
    file = _file(
        tmp_path,
        "circuit,place,reading_ohm\nteal-1/1/1,near,9,\x1b[31mred\n".replace(
            "ohm\n", "ohm,remark\n"
        ),
    )
    done = run_command("readings", str(tmp_path / "show.toml"), file, "-v")
    assert done.returncode == 1, done.stderr
    assert "\x1b" not in done.stdout
    assert "<b>灯" in done.stdout
    assert r"[\x1b[31mred]" in done.stdout


def test_template_leaves_out_what_a_diode_hides() -> None:
    done = run_command("readings", MIDWINTER, "--template")
    assert done.returncode == 0
    assert ",box," not in done.stdout


def test_after_the_show_says_to_treat_as_live(tmp_path: Path) -> None:
    file = _file(tmp_path, "circuit,place,moment,reading_ohm\nheron-1/1/3,east,after,1.7\n")
    done = run_command("readings", MIDWINTER, file)
    assert done.returncode == 1
    assert "treat what hangs on it as live" in done.stdout


@pytest.mark.parametrize("number", range(1, 11))
def test_every_code_has_a_page(number: int) -> None:
    page = load_rule(f"REC{number:03d}")
    assert page.rule.at_load
    assert page.section("Do instead")
    assert run_command("explain", f"REC{number:03d}").returncode == 0
