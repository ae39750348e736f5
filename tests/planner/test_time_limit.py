"""The time limit: nothing is begun when the time is up, and what is known by then is given."""

from __future__ import annotations

import time
from typing import Any

import pytest

from bridgewire.planner import attempt, conflict, judge, master, placing, search
from bridgewire.planner.attempt import Attempts, Found
from bridgewire.planner.clock import Clock, OutOfTimeError
from bridgewire.planner.design import Design
from bridgewire.planner.family import Family
from bridgewire.planner.search import Search, plan_site
from bridgewire.planner.verify import judge_odds
from bridgewire.report.plan_text import plan_text
from tests.planner.sites import (
    EIGHT_POSITIONS,
    checked,
    fountains,
    problem,
    shells,
    site_text,
)

pytest.importorskip("ortools")

LATE_S = 1.0
"""A step that begins later than this after the end did not look at the clock."""
RELIABLE = site_text(
    {"hut": (0.0, 0.0), "a": (12.0, 2.0)},
    ["hut"],
    shells("a", 2),
    requirements="margin = 1.2\nreliability = 0.99",
)
IMPOSSIBLE = site_text(
    {"hut": (0.0, 0.0), "far": (46.0, 0.0), "near": (9.0, 3.0)},
    ["hut"],
    fountains("far", 2) + shells("near", 3),
    stock={
        "harrowmere:shore-cable": "count = 8\nlength_m = 50",
        "harrowmere:jetty-strip-8": "count = 9",
    },
    requirements="margin = 2.0",
)


@pytest.mark.parametrize("seconds", [0.3, 1.0, 2.0])
@pytest.mark.parametrize("text", [EIGHT_POSITIONS, IMPOSSIBLE], ids=["possible", "impossible"])
def test_no_step_begins_when_the_time_is_up(
    text: str, seconds: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a machine so slow that each step takes a quarter of a second."""
    late: list[str] = []
    monkeypatch.setattr(judge, "BATCH", 5)
    planned = Search(problem(text), seconds)

    def slow(owner: Any, name: str) -> None:
        step = getattr(owner, name)

        def begin(*args: Any, **more: Any) -> Any:
            if planned.clock.gone_s > seconds + LATE_S:
                late.append(name)
            time.sleep(0.25)
            return step(*args, **more)

        monkeypatch.setattr(owner, name, begin)

    slow(judge.Judge, "_checked")
    slow(attempt, "build")
    slow(attempt, "verify")
    slow(attempt, "can_cut")
    slow(search, "improve")
    slow(master, "linear_bound")
    for module in (master, placing, conflict):
        slow(module, "new_solver")
    plan = planned.run()
    assert late == []
    assert not plan.finished
    assert plan.complete or plan.gap is None
    if plan.complete:
        assert not [f for f in checked(plan).findings if f.severity >= 3]


def test_a_solver_never_gets_more_time_than_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    planned = Search(problem(EIGHT_POSITIONS), seconds=1.5)
    more: list[tuple[float, float]] = []
    for module in (master, placing, conflict):
        new = module.new_solver

        def made(seconds: float, *args: Any, new: Any = new, **rest: Any) -> Any:
            if seconds > planned.clock.left_s + LATE_S:
                more.append((seconds, planned.clock.left_s))
            return new(seconds, *args, **rest)

        monkeypatch.setattr(module, "new_solver", made)
    planned.run()
    assert more == []


def test_the_best_complete_plan_is_given_when_the_time_is_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    choice = Family.choice

    def until_the_family(self: Family, *args: Any, singles: bool = False, **more: Any) -> Any:
        if not singles:
            raise OutOfTimeError
        return choice(self, *args, singles=True, **more)

    monkeypatch.setattr(Family, "choice", until_the_family)
    plan = plan_site(problem(EIGHT_POSITIONS), seconds=60)
    assert plan.complete
    assert not plan.finished
    assert not plan.whole
    assert all(len(p.feed.shape.positions) == 1 for p in plan.placed)
    assert not [f for f in checked(plan).findings if f.severity >= 3]
    shown = " ".join(plan_text(plan).split())
    assert "there was no time to look at more" in shown


def test_no_check_is_begun_that_would_last_too_long() -> None:
    """With a good plan at hand; without one the check is tried, however long it may take."""
    site = problem(RELIABLE.replace("reliability = 0.99", ""))
    plan = plan_site(site, seconds=60)
    assert plan.checked is not None
    built = plan.checked.built
    clock = Clock(30.0)
    tried = Attempts(site, Family.of(site), (), clock, 1, lambda _: None)
    tried._longest_check_s = 3600.0
    assert not tried._checked(built).misses
    tried.best = Found(Design({}, {}, {}, {}, 0), (), plan.checked)
    with pytest.raises(OutOfTimeError):
        tried._checked(built)
    tried._longest_check_s = 0.0
    assert not tried._checked(built).misses


def test_odds_that_were_not_computed_in_time_are_missed() -> None:
    site = problem(RELIABLE)
    plan = plan_site(site, seconds=60)
    assert plan.complete
    assert plan.checked is not None
    found = judge_odds(site, plan.checked, 1, Clock(0.0))
    assert [m.words for m in found.misses] == [
        "the reliability is not known: the time was up before its odds were computed"
    ]


def test_a_clock_gives_no_more_than_is_left() -> None:
    assert Clock(10.0).share_s(0.5) == pytest.approx(5.0, abs=0.2)
    assert Clock(10.0).share_s(0.1, 3.0) == pytest.approx(3.0, abs=0.2)
    assert Clock(1.0).share_s(0.1, 3.0) == pytest.approx(1.0, abs=0.2)
    assert Clock(-1.0).share_s(0.5, 3.0) == 0.0
    assert Clock().share_s(0.5) == float("inf")
    assert not Clock().out
