"""Which findings a baseline knows: by what they are about, not by where they stand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from bridgewire.api import check
from bridgewire.diagnostics import Finding, Severity
from bridgewire.report.baseline import KNOWN_REASON, Baseline, entries_of, split, still_there
from bridgewire.report.baseline_file import baseline_text, read_baseline
from bridgewire.report.worsening import TOLERANCE, clearly_worse
from bridgewire.rules.base import NEVER_IGNORED

LOW = Finding(
    "FIR005",
    "margin 1.10",
    Severity.WARNING,
    ("cue", 0),
    subjects=("opening", "comet"),
    measured=1.10,
    limit=1.20,
)
LATE = Finding(
    "TIM006",
    "lights after 1.5 s",
    Severity.WARNING,
    ("cue", 1),
    subjects=("wheel",),
    measured=1.5,
    limit=1.0,
)


def new_of(findings: list[Finding], known: list[Finding]) -> list[Finding]:
    """Findings that are new to a baseline made of the known ones."""
    return list(split(findings, None, entries_of(known, None, "a.toml"))[0])


def test_what_is_in_the_baseline_is_known_and_nothing_else() -> None:
    assert new_of([LOW, LATE], [LOW]) == [LATE]
    assert new_of([LOW, LATE], [LOW, LATE]) == []
    assert new_of([LOW, LATE], []) == [LOW, LATE]


def test_words_and_better_values_do_not_make_it_new() -> None:
    assert new_of([evolve(LOW, message="margin 1.15", measured=1.15)], [LOW]) == []


@pytest.mark.parametrize(
    ("before", "now", "worse"),
    [
        (LOW, 1.10 * (1 - TOLERANCE) + 1e-9, False),
        (LOW, 1.10 * (1 - TOLERANCE) - 1e-9, True),
        (LATE, 1.5 * (1 + TOLERANCE) - 1e-9, False),
        (LATE, 1.5 * (1 + TOLERANCE) + 1e-9, True),
        (LATE, math.inf, True),
        (LATE, math.nan, True),
        (LATE, None, True),
        (LATE, 1.0, False),
    ],
)
def test_a_clearly_worse_value_is_new(before: Finding, now: float | None, worse: bool) -> None:
    assert bool(new_of([evolve(before, measured=now)], [before])) is worse


def test_a_value_that_was_endless_cannot_get_worse() -> None:
    never = evolve(LATE, measured=math.inf)
    assert new_of([never], [never]) == []
    assert new_of([evolve(never, measured=2.0)], [never]) == []


def test_a_higher_severity_is_new_and_a_lower_one_is_not() -> None:
    error = evolve(LOW, severity=Severity.ERROR)
    assert new_of([error], [LOW]) == [error]
    assert new_of([LOW], [error]) == []


def test_more_of_the_same_are_new_and_the_worst_of_them_are_called_so() -> None:
    worst = evolve(LOW, measured=1.06)
    assert new_of([worst, LOW, LOW], [LOW, LOW]) == [worst]


def test_rules_that_failed_can_never_be_known() -> None:
    for code in NEVER_IGNORED:
        crash = Finding(code, "a rule failed")
        assert entries_of([crash], None, "a.toml") == ()
        forged = entries_of([evolve(crash, code="FIR001")], None, "a.toml")
        assert split([crash], None, [evolve(forged[0], code=code)])[0] == (crash,)


def test_lesser_findings_are_left_out() -> None:
    note = evolve(LOW, severity=Severity.INFO)
    assert entries_of([note], None, "a.toml") == ()
    assert len(entries_of([note], None, "a.toml", Severity.INFO)) == 1
    assert entries_of([LOW], None, "a.toml", Severity.ERROR) == ()


def test_mended_findings_are_told_apart_by_number() -> None:
    entries = entries_of([LOW, LOW, LATE], None, "a.toml")
    kept, gone = still_there(entries, [LOW], None)
    assert [(e.code, e.count) for e in kept] == [("FIR005", 1)]
    assert [(e.code, e.count) for e in gone] == [("FIR005", 1), ("TIM006", 1)]


def test_a_rule_that_did_not_run_says_nothing_of_its_findings() -> None:
    odds = evolve(LOW, code="FIR014")
    foreign = evolve(LOW, code="XHL001")
    entries = entries_of([odds, foreign, LATE], None, "a.toml")
    kept, gone = still_there(entries, [], None)
    assert [e.code for e in kept] == ["FIR014", "XHL001"]
    assert [e.code for e in gone] == ["TIM006"]
    kept, gone = still_there(entries, [], None, odds=True, also={"XHL001"})
    assert kept == ()
    assert len(gone) == 3


@given(
    before=st.floats(0.01, 100),
    now=st.floats(0.01, 100),
    limit=st.floats(0.01, 100),
)
def test_a_value_gets_worse_one_way_only(before: float, now: float, limit: float) -> None:
    both = clearly_worse(before, now, limit) and clearly_worse(now, before, limit)
    # Both ways only where the value crossed its limit: then each side is the wrong one.
    assert not both or min(before, now) < limit < max(before, now)
    assert not clearly_worse(before, before, limit)


SHOW = """format = 1
title = "Regatta Night"
kits = ["harrowmere", "generic"]
[site]
ambient_C = { min = 4, typical = 11, max = 18 }
[[box]]
id = "heron-1"
kind = "heron"
supply_V = { typical = 21.2, tol = 0.2 }
standby_s = 600
[[strip]]
id = "jetty"
kind = "jetty-strip-8"
[[run]]
from = "heron-1/1"
to = "jetty"
cable = "shore-cable"
length_m = 40
[[igniter]]
id = "gerb"
at = "jetty/1"
class = "clip-on-short"
[[cue]]
id = "gerbs"
fire = "heron-1/1/1"
time_s = 5.0
pulse_s = 2.0
"""


@pytest.fixture
def show(tmp_path: Path) -> Path:
    file = tmp_path / "show.toml"
    file.write_text(SHOW, encoding="utf-8")
    return file


def test_a_show_is_known_after_its_lines_moved(show: Path, tmp_path: Path) -> None:
    report = check(show)
    loaded = report.assessment
    assert loaded is not None
    entries = entries_of(report.findings, loaded.layout.show, "show.toml", Severity.INFO)
    assert entries
    file = tmp_path / "baseline.toml"
    file.write_text(baseline_text(Baseline(entries)), encoding="utf-8")
    show.write_text("# moved\n\n" + SHOW.replace("time_s = 5.0", "time_s = 6.0"), encoding="utf-8")
    again = check(show).against(read_baseline(file).known)
    assert again.findings == ()
    assert again.stale == ()
    assert {k.reason for k in again.known} == {KNOWN_REASON}
    assert len(again.known) == len(report.findings)


def test_a_longer_run_makes_the_known_finding_new(show: Path) -> None:
    report = check(show)
    assert report.assessment is not None
    entries = entries_of(report.findings, report.assessment.layout.show, "show.toml")
    assert {e.code for e in entries} == {"FIR006"}
    show.write_text(SHOW.replace("length_m = 40", "length_m = 48"), encoding="utf-8")
    worse = check(show).against(entries)
    assert "FIR006" in {f.code for f in worse.findings}
    show.write_text(SHOW.replace("length_m = 40", "length_m = 40.5"), encoding="utf-8")
    alike = check(show).against(entries)
    assert "FIR006" not in {f.code for f in alike.findings}
    show.write_text(SHOW.replace("length_m = 40", "length_m = 10"), encoding="utf-8")
    mended = check(show).against(entries)
    assert [e.code for e in mended.stale] == ["FIR006"]
