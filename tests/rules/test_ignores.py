"""Ignores with a last day: in documents of every format, over the day's change, and in reports."""

from __future__ import annotations

import datetime
import json
from pathlib import Path

import pytest

import bridgewire.rules
from bridgewire.api import Report, check
from bridgewire.documents.loader import load_show
from bridgewire.report.json_report import report_data
from bridgewire.report.text import report_text
from bridgewire.rules.registry import all_rules, rule_files
from tests.cli.shows import CLEAN, write_show

RULES = Path(bridgewire.rules.__file__).parent
LAST = datetime.date(2026, 8, 31)
NEXT = LAST + datetime.timedelta(days=1)
UNREAD = "DOC021"
"""Found in the clean show, which states no requirement."""


def show_with(tmp_path: Path, ignore: str) -> Path:
    return write_show(tmp_path, CLEAN + ignore)


def codes(report: Report) -> set[str]:
    return {f.code for f in report.findings}


@pytest.fixture
def dated(tmp_path: Path) -> Path:
    return show_with(
        tmp_path,
        f'[[checks.ignore]]\ncode = "{UNREAD}"\nreason = "not yet agreed"\nuntil = {LAST}\n',
    )


def test_an_ignore_holds_through_its_last_day_and_no_longer(dated: Path) -> None:
    before = check(dated, today=LAST)
    assert [i.until for i in before.ignored] == [LAST]
    assert codes(before).isdisjoint({UNREAD, "DOC025", "DOC026"})
    after = check(dated, today=NEXT)
    assert after.ignored == ()
    assert {UNREAD, "DOC025"} <= codes(after)
    assert "DOC026" not in codes(after)


def test_reports_say_until_when(dated: Path) -> None:
    report = check(dated, today=LAST)
    assert f"{UNREAD} (1, until 2026-08-31): not yet agreed" in report_text(report)
    assert report_data(report)["ignored"][0]["until"] == "2026-08-31"


def test_today_is_the_computers_where_it_is_not_stated(tmp_path: Path) -> None:
    past = show_with(
        tmp_path, f'[[checks.ignore]]\ncode = "{UNREAD}"\nreason = "x"\nuntil = 2001-01-01\n'
    )
    assert "DOC025" in codes(check(past))
    far = past.read_text().replace("2001-01-01", "9999-12-31")
    past.write_text(far)
    assert "DOC025" not in codes(check(past))


@pytest.mark.parametrize("ending", [".json", ".yaml", ".toml"])
def test_every_format_can_state_a_day(tmp_path: Path, ending: str) -> None:
    text = json.dumps(
        {
            "format": 1,
            "title": "Night",
            "kits": [],
            "checks": {"ignore": [{"code": "WIR009", "reason": "x", "until": "2026-08-31"}]},
        }
    )
    if ending == ".toml":
        text = (
            'format = 1\ntitle = "Night"\nkits = []\n'
            '[[checks.ignore]]\ncode = "WIR009"\nreason = "x"\nuntil = 2026-08-31\n'
        )
    file = tmp_path / f"show{ending}"
    file.write_text(text)
    assert load_show(file)[0].checks.ignore[0].until == LAST


def test_an_ignore_for_one_subject_leaves_the_others(tmp_path: Path) -> None:
    entry = '[[checks.ignore]]\ncode = "DOC021"\nreason = "x"\nsubject = "spread_s"\n'
    report = check(show_with(tmp_path, entry))
    assert UNREAD in codes(report)
    assert [f.path for f in report.findings if f.code == "DOC026"] == [("checks", "ignore", 0)]


def test_rules_say_whether_they_need_odds_and_never_ask_the_clock() -> None:
    for rule in all_rules():
        name = rule_files()[rule.rule.code].rsplit(".", 1)[1]
        text = (RULES / f"{name}.py").read_text(encoding="utf-8")
        asks = "context.odds" in text and not rule.rule.last
        assert rule.rule.needs_odds == asks, name
        assert rule.rule.last == ("context.found" in text), name
        assert "date.today" not in text, name
