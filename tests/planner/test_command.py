"""The command plan, from outside."""

from __future__ import annotations

import json
import re
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from bridgewire.cli.main import run
from bridgewire.documents.schema import schemas_dir
from tests.planner.sites import fountains, shells, site_text

pytest.importorskip("ortools")

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "regatta-plan" / "site.toml"
POINTS = {"hut": (0.0, 0.0), "a": (12.0, 2.0), "b": (18.0, 4.0)}
SMALL = site_text(POINTS, ["hut"], shells("a", 3) + shells("b", 2, first_s=200))


@pytest.fixture
def site(tmp_path: Path) -> Path:
    file = tmp_path / "site.toml"
    file.write_text(SMALL, encoding="utf-8")
    return file


def test_writes_a_show_that_checks(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "plan.toml"
    assert run(["plan", str(site), "--to", str(target), "--seconds", "30"]) == 0
    text = capsys.readouterr().out
    assert "All 5 cues are sure" in text
    assert "Of the plans looked at none costs less." in text
    assert "Keep the supply disconnected" in text
    assert run(["check", str(target), "--fail-on", "error"]) == 0


def test_money_adds_up_and_no_length_is_rounded(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "site.toml"
    # Each run costs a fraction of a hundredth.
    costs = "per_m = 0.0137\nper_output = 3.0\nper_minute = 0.333\nminutes_per_part = 2"
    points = {"hut": (0.0, 0.0), "a": (12.2, 2.0), "b": (-18.1, 4.0), "c": (5.0, 9.1)}
    wanted = "".join(shells(p, 2, first_s=10 + 90 * i) for i, p in enumerate("abc"))
    plan = "chain = 1\nlength_step_m = 0.25"
    file.write_text(site_text(points, ["hut"], wanted, costs=costs, plan=plan), encoding="utf-8")
    assert run(["plan", str(file), "--seconds", "30"]) == 0
    text = capsys.readouterr().out
    lines = text.split("  Cost\n")[1].split("\n\n")[0].splitlines()
    *parts, together = (Decimal(re.findall(r"\d+\.\d\d", line)[0]) for line in lines[:5])
    assert len(parts) >= 3
    assert sum(parts) == together
    assert run(["plan", str(file), "--format", "json", "--seconds", "30"]) == 0
    metres = valid(capsys.readouterr().out)["totals"]["cable_m"]
    shown = re.findall(r"^ +(\d+\.\d+) m harrowmere", text, re.MULTILINE)
    assert [float(m) for m in shown] == pytest.approx(list(metres.values()))
    assert any(len(m.split(".")[1]) == 2 for m in shown)


def test_never_replaces_a_file_unasked(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "plan.toml"
    target.write_text("mine", encoding="utf-8")
    assert run(["plan", str(site), "--to", str(target)]) == 2
    assert "use --force to replace it" in capsys.readouterr().err
    assert target.read_text(encoding="utf-8") == "mine"
    assert run(["plan", str(site), "--to", str(target), "--force", "--seconds", "30"]) == 0
    assert "[[cue]]" in target.read_text(encoding="utf-8")


def test_refuses_to_replace_the_site(site: Path) -> None:
    assert run(["plan", str(site), "--to", str(site), "--force"]) == 2
    assert site.read_text(encoding="utf-8") == SMALL


def valid(text: str) -> dict[str, Any]:
    """The JSON report, held against its schema."""
    data: dict[str, Any] = json.loads(text)
    schema = json.loads((schemas_dir() / "plan-1.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(data)
    return data


def test_json_holds_everything(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", str(site), "--format", "json", "--seconds", "30"]) == 0
    data = valid(capsys.readouterr().out)
    assert data["complete"] is True
    assert data["gap_pct"] == 0
    assert data["bound"] <= data["cost"] + 1e-6
    assert sum(data["totals"]["split"].values()) == pytest.approx(data["cost"], abs=1e-6)
    assert sorted(c for o in data["outputs"] for c in o["cues"]) == [
        "shell a 1", "shell a 2", "shell a 3", "shell b 1", "shell b 2",
    ]  # fmt: skip
    assert data["show"]["format"] == 1


def test_exit_code_where_nothing_is_possible(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "site.toml"
    far = {"hut": (0.0, 0.0), "a": (900.0, 0.0)}
    file.write_text(site_text(far, ["hut"], shells("a", 1)), encoding="utf-8")
    target = tmp_path / "plan.toml"
    assert run(["plan", str(file), "--seconds", "30", "--to", str(target)]) == 1
    assert "No plan looked at meets every demand." in capsys.readouterr().out
    assert not target.exists()


def test_hostile_names_are_shown_as_text_and_survive(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = "a\u202eb <script>\u00e9 =1+1"
    text = site_text({"hut": (0.0, 0.0), name: (9.0, 1.0)}, ["hut"], shells(name, 2))
    file, target = tmp_path / "site.toml", tmp_path / "plan.toml"
    file.write_text(text, encoding="utf-8")
    assert run(["plan", str(file), "--to", str(target), "--seconds", "30"]) == 0
    assert "\u202e" not in capsys.readouterr().out
    assert run(["check", str(target), "--fail-on", "error"]) == 0


def test_ids_of_the_greatest_length(tmp_path: Path) -> None:
    name = "x" * 120
    points = {"hut": (0.0, 0.0), name: (9.0, 1.0)}
    wanted = shells(name, 2).replace(f'"shell {name}"', f'"{"y" * 118}"')
    file, target = tmp_path / "site.toml", tmp_path / "plan.toml"
    file.write_text(site_text(points, ["hut"], wanted), encoding="utf-8")
    assert run(["plan", str(file), "--to", str(target), "--seconds", "30"]) == 0
    assert run(["check", str(target), "--fail-on", "error"]) == 0


def test_one_second_gives_something_honest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = run(["plan", str(EXAMPLE), "--seconds", "1", "--format", "json"])
    data = valid(capsys.readouterr().out)
    assert code == (0 if data["complete"] else 1)
    assert data["search"]["seconds"] < 30
    if data["complete"]:
        assert data["cost"] >= data["bound"] >= data["any_plan"]["cost"]
    else:
        assert data["gap_pct"] is None
        assert data["show"] is None or data["misses"]


def test_the_line_that_says_what_is_done_is_gone_at_the_end(
    site: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    assert run(["plan", str(site), "--seconds", "30", "--colour", "never"]) == 0
    told = capsys.readouterr().err
    assert "\r\x1b[Kcheck of the whole plan …" in told
    assert told.endswith("…\r\x1b[K")


@pytest.mark.parametrize(
    ("plan", "words"),
    [
        ("chain = 1\nplaces = 2", "one strip on every output; box places that are among the 2"),
        ("chain = 3\nneighbours = 0\nplaces = 1", "one strip on every output; box places that are"),
        ("places = 1", "box places that are the nearest of a position"),
        (
            "chain = 2\nneighbours = 1",
            "2 strips on an output, in a chain, at positions of which one",
        ),
        ("neighbours = 1", "of which one is the nearest of another"),
        ("neighbours = 3", "of which one is among the 3 nearest of another"),
    ],
)
def test_the_report_says_which_plans_were_looked_at(
    plan: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "site.toml"
    file.write_text(site_text(POINTS, ["hut"], shells("a", 1), plan=plan), encoding="utf-8")
    assert run(["plan", str(file), "--seconds", "30", "--workers", "1"]) == 0
    assert words in " ".join(capsys.readouterr().out.split())


def test_a_show_is_no_site(capsys: pytest.CaptureFixture[str]) -> None:
    show = EXAMPLE.parents[1] / "midwinter-small.toml"
    assert run(["plan", str(show)]) == 2
    assert "this is a show, not a plan site" in capsys.readouterr().err


def test_reliability_is_judged_where_it_is_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = SMALL.replace("[requirements]", "[requirements]\nreliability = 0.99")
    file = tmp_path / "site.toml"
    file.write_text(text, encoding="utf-8")
    assert run(["plan", str(file), "--seconds", "60"]) == 0
    assert "All 5 cues are sure" in capsys.readouterr().out


def shaky(reliability: float, sigma: float) -> str:
    """One slow igniter at the end of a long thin cable; its tolerances are read as scatter."""
    points = {"hut": (0.0, 0.0), "a": (47.0, 0.0)}
    wanted = fountains("a", 1).replace("times_s", "pulse_s = 2.0\ntimes_s")
    return site_text(
        points,
        ["hut"],
        wanted,
        requirements=f"reliability = {reliability}",
        stock={
            "harrowmere:shore-cable": "count = 1\nlength_m = 50",
            "harrowmere:jetty-strip-8": "count = 1",
        },
        more=f"[scatter]\nband_sigma = {sigma}\n",
    )


def test_a_reliability_that_cannot_be_reached_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "site.toml"
    file.write_text(shaky(0.999, 0.5), encoding="utf-8")
    assert run(["plan", str(file), "--seconds", "60", "--format", "json"]) == 1
    data = valid(capsys.readouterr().out)
    assert any("FIR014" in m["words"] for m in data["misses"])
    assert {d["kind"] for d in data["conflict"]["demands"]} == {"whole plan", "wanted", "places"}


def test_a_reliability_that_draws_do_not_show_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "site.toml"
    file.write_text(shaky(0.9999999, 1.0), encoding="utf-8")
    assert run(["plan", str(file), "--seconds", "60", "--width", "200"]) == 0
    assert "but the reliability, which so many draws do not show," in capsys.readouterr().out


def test_says_which_extra_is_missing(
    site: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    assert run(["plan", str(site)]) == 2
    assert "pip install 'bridgewire[plan]'" in capsys.readouterr().err


def test_help_needs_no_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ortools", None)
    assert run(["plan", "--help"]) == 0
