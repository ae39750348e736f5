"""``bridgewire check --odds`` and the plots of ``bridgewire odds``."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest

import bridgewire
from bridgewire.api import check
from tests.cli.running import run_command

ROOT = Path(__file__).parents[2]
TROUBLES = ROOT / "examples" / "boathouse-troubles.toml"
CASE = ROOT / "tests" / "rules" / "cases" / "FIR014" / "fail_pulse_barely_enough.toml"
KITS = ("--kit-dir", str(ROOT / "tests" / "rules" / "kits"))


SCHEMA = Path(bridgewire.__file__).parent / "schemas" / "report-1.json"


def codes(*more: str) -> list[str]:
    done = run_command("check", str(CASE), *KITS, "--format", "json", *more)
    assert done.returncode in (0, 1), done.stderr
    return [f["code"] for f in json.loads(done.stdout)["shows"][0]["findings"]]


def test_odds_are_judged_only_where_they_are_asked_for() -> None:
    plain = codes()
    assert not {"FIR014", "FIR015", "FIR016"} & set(plain)
    asked = codes("--odds", "--draws", "1000")
    assert {"FIR014", "FIR015"} <= set(asked)
    assert sorted(c for c in asked if c not in ("FIR014", "FIR015", "FIR016")) == sorted(plain)


def test_draws_without_odds_are_refused() -> None:
    done = run_command("check", str(CASE), *KITS, "--draws", "1000")
    assert done.returncode == 2
    assert "--odds" in done.stderr


def test_report_tells_the_odds_of_the_show() -> None:
    text = run_command("check", str(CASE), *KITS, "--odds", "--draws", "500").stdout
    assert "in 500 draws" in text
    assert "of 2 igniters unlit on" in text
    assert "draws" not in run_command("check", str(CASE), *KITS).stdout
    done = run_command("check", str(CASE), *KITS, "--odds", "--draws", "500", "--format", "json")
    data = json.loads(done.stdout)
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(data)
    odds = data["shows"][0]["odds"]
    assert odds["draws"] == 500
    assert odds["required"] == 0.99
    assert 0.0 < odds["expected_unlit"]["value"] < 0.5


def test_findings_do_not_depend_on_the_number_of_workers() -> None:
    kits = [ROOT / "tests" / "rules" / "kits"]
    from bridgewire.api import load_show

    loaded = load_show(CASE, kit_dirs=kits)
    one = check(loaded, draws=500, seed=3)
    assert one.odds is not None
    assert one.odds.odds.draws == 500
    assert one.odds.odds.seed == 3
    assert check(loaded).odds is None
    assert check(loaded, draws=500, seed=3).findings == one.findings
    assert check(loaded, draws=500, seed=3, workers=2).findings == one.findings


def test_no_draws_is_a_fault_of_the_caller() -> None:
    with pytest.raises(ValueError, match="draws"):
        check(ROOT / "examples" / "midwinter-small.toml", draws=0)


def test_plots_are_written(tmp_path: Path) -> None:
    done = run_command(
        *("odds", str(TROUBLES), "--cue", "ring", "--draws", "100", "--closer", "0"),
        *("--bands", "bands.svg", "--tornado", "tornado.svg"),
        cwd=tmp_path,
    )
    assert done.returncode == 0, done.stderr
    for name in ("bands.svg", "tornado.svg"):
        drawn = ElementTree.fromstring((tmp_path / name).read_text(encoding="utf-8"))
        assert any("roof ring" in (e.text or "") for e in drawn.iter()), name


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--tornado", "t.svg"), "--cue"),
        (("--cue", "ring", "--tornado", "t.gif"), ".svg or .png"),
        (("--bands", "bands"), ".svg or .png"),
    ],
)
def test_plots_that_cannot_be_drawn_are_refused_at_once(
    tmp_path: Path, arguments: tuple[str, ...], words: str
) -> None:
    done = run_command("odds", str(TROUBLES), *arguments, cwd=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_text_tells_how_many_igniters_are_expected_unlit() -> None:
    done = run_command("odds", str(TROUBLES), "--draws", "100", "--closer", "0")
    assert "igniters left unlit, of 9" in done.stdout
