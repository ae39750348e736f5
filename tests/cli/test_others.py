"""explain, kits, trace and schema."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from xml.etree import ElementTree

import click
import pytest

import bridgewire
from bridgewire.cli import schema
from bridgewire.cli.main import run
from bridgewire.documents.schema import schemas_dir
from bridgewire.report.plain_text import columns
from bridgewire.rules.registry import all_rules, rule_files
from tests.cli.running import run_command
from tests.cli.shows import KITS, SMALL


@pytest.mark.parametrize("code", list(rule_files()))
def test_every_code_has_a_page_of_80_columns(code: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["explain", code.lower()]) == 0
    page = capsys.readouterr().out
    assert page.startswith(code)
    for title in ("What it checks", "Why it matters", "Do instead"):
        assert f"\n{title}\n" in page
    assert all(columns(line) <= 80 for line in page.splitlines())


def test_a_page_is_found_by_name_too(capsys: pytest.CaptureFixture[str]) -> None:
    run(["explain", "FIR001"])
    by_code = capsys.readouterr().out
    run(["explain", "will-not-light"])
    assert capsys.readouterr().out == by_code


@pytest.mark.parametrize(
    ("wrong", "hint"), [("FIR01", "FIR001"), ("will-not-ligt", "will-not-light"), ("xyz", "lists")]
)
def test_an_unknown_code_gets_a_hint(
    wrong: str, hint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["explain", wrong]) == 2
    assert hint in capsys.readouterr().err


def test_explain_lists_every_code_with_its_summary(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["explain"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    for loaded in all_rules():
        assert f"{loaded.rule.code} {loaded.rule.severity.word} {loaded.summary}" in text


def test_kits_are_listed_with_version_and_file() -> None:
    done = run_command("kits", "list", "--kit-dir", str(KITS))
    assert done.returncode == 0
    assert "generic 1.0  Generic kit" in done.stdout
    assert f"bench 3  Bench kit\n    {KITS / 'bench.toml'}" in done.stdout


def test_a_kit_is_shown_with_sources_and_derived_values() -> None:
    done = run_command("kits", "show", "generic")
    assert done.returncode == 0
    assert "[common practice, no source]" in done.stdout
    assert "a pair of 100 m, there and back" in done.stdout
    assert "threshold current I0" in done.stdout


def test_validation_tells_what_is_missing() -> None:
    done = run_command("kits", "validate", str(KITS / "bench.toml"))
    assert done.returncode == 1
    assert "igniter class unmeasured" in done.stdout
    assert "whether it lights" in done.stdout


def test_validation_may_let_pass_what_only_rules_need(tmp_path: Path) -> None:
    file = tmp_path / "club.toml"
    contact = 'format = 1\nid = "club"\n[[contact]]\nid = "p"\n'
    cases = {"contact_ohm = 0.01": (1, 0), "rated_A = 5": (1, 1), "contact_ohm = 9": (1, 1)}
    for line, codes in cases.items():
        file.write_text(f"{contact}{line}\n", encoding="utf-8")
        found = [
            run_command("kits", "validate", str(file), *option).returncode
            for option in ((), ("--allow-unchecked",))
        ]
        assert tuple(found) == codes, line


def test_validation_of_a_broken_profile_shows_the_place(tmp_path: Path) -> None:
    file = tmp_path / "club.toml"
    file.write_text('format = 1\nid = "club"\n[[contact]]\nid = "p"\ncontact_ohm = -1\n')
    good = KITS / "bench.toml"
    done = run_command("kits", "validate", str(file), str(good))
    assert done.returncode == 2
    assert f"{file}:5:15: DOC007" in done.stderr
    assert "bench" in done.stdout


@pytest.mark.parametrize("kind", ["kit", "show", "report"])
def test_schemas_are_printed_as_shipped(kind: str) -> None:
    done = run_command("schema", kind)
    shipped = Path(bridgewire.__file__).parent / "schemas" / f"{kind}-1.json"
    assert done.stdout == shipped.read_text(encoding="utf-8")
    assert json.loads(done.stdout)["$schema"].startswith("https://json-schema.org/draft/2020-12")


def test_every_schema_that_is_shipped_can_be_printed() -> None:
    (argument,) = schema.command.params
    assert isinstance(argument.type, click.Choice)
    shipped = {p.name.removesuffix("-1.json") for p in schemas_dir().glob("*.json")}
    assert set(argument.type.choices) == shipped


def test_a_trace_is_told() -> None:
    done = run_command("trace", str(SMALL), "three comets on the jetty")
    assert done.returncode == 0
    assert "comet near lights" in done.stdout


def test_a_trace_is_written_and_drawn(tmp_path: Path) -> None:
    table, drawing = tmp_path / "t.csv", tmp_path / "t.svg"
    done = run_command(
        *("trace", str(SMALL), "three comets on the jetty", "--step-ms", "10"),
        *("--format", "csv", "--output", str(table), "--plot", str(drawing)),
    )
    assert (done.returncode, done.stdout) == (0, "")
    rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"))))
    assert rows[0][0] == "time_s"
    times = [float(row[0]) for row in rows[1:]]
    assert {0.0, 0.01, 0.02, 2.0} <= set(times)
    ElementTree.parse(drawing)


def test_a_table_can_go_to_the_output() -> None:
    done = run_command("trace", str(SMALL), "opening", "--format", "csv", "--corner", "slow")
    rows = list(csv.reader(io.StringIO(done.stdout)))
    assert rows[0][2] == "opener current_A"
    assert all(len(row) == len(rows[0]) for row in rows)
    assert "\n\n" not in done.stdout


def test_a_picture_is_written(tmp_path: Path) -> None:
    pytest.importorskip("resvg_py")
    file = tmp_path / "t.png"
    assert run_command("trace", str(SMALL), "opening", "--plot", str(file)).returncode == 0
    assert file.read_bytes().startswith(b"\x89PNG")


def test_a_mistyped_cue_gets_a_hint(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["trace", str(SMALL), "openning"]) == 2
    assert "did you mean 'opening'?" in capsys.readouterr().err
