"""How the planner searches: parts planned anew, bounds, cuts."""

from __future__ import annotations

import pytest

from bridgewire.planner.clock import Clock
from bridgewire.planner.cutting import can_cut
from bridgewire.planner.family import Family
from bridgewire.planner.master import Master
from bridgewire.planner.neighbourhood import improve
from bridgewire.planner.prices import DEFAULT, Prices
from bridgewire.planner.search import Search, plan_site
from bridgewire.remedies.change import Effort
from tests.planner.sites import EIGHT_POSITIONS, checked, problem, shells, site_text

pytest.importorskip("ortools")

POINTS = {"hut": (0.0, 0.0), "a": (12.0, 2.0)}


def test_planning_parts_anew_only_makes_it_better() -> None:
    site = problem(EIGHT_POSITIONS)
    prices, family = Prices.of(site), Family.of(site)
    singles = family.choice(singles=True)
    first = Master(site, singles, prices).solve(20.0, 1).design
    assert first is not None
    choice = family.choice()
    best = Master(site, choice, prices).solve(60.0, 1, workers=2)
    assert best.design is not None
    assert best.optimal
    found = improve(site, choice, prices, (), {}, first, Clock(20.0), 1, 2)
    assert best.design.cost <= found.cost <= first.cost
    assert found.cost < first.cost  # two strips on an output save a box's worth of cable here


def test_bounds_are_below_the_best() -> None:
    site = problem(EIGHT_POSITIONS)
    prices, choice = Prices.of(site), Family.of(site).choice()
    best = Master(site, choice, prices).solve(60.0, 1, workers=2)
    assert best.design is not None
    assert best.optimal
    outputs = Master(site, choice, prices).least_outputs(20.0)
    assert 0 < outputs <= sum(best.design.feeds.values())
    for least in (0, outputs):
        bound = Master(site, choice, prices, outputs=least).linear_bound(20.0)
        assert 0 < bound <= best.design.cost
    seeking = Master(site, choice, prices).solve(5.0, 1, bounding=True, workers=2)
    assert seeking.bound <= best.design.cost + 1e-6


def test_parts_after_one_another_give_a_plan_that_checks(monkeypatch: pytest.MonkeyPatch) -> None:
    """The way of large sites, on a small one."""
    monkeypatch.setattr("bridgewire.planner.search.MANY", 0)
    plan = plan_site(problem(EIGHT_POSITIONS), seconds=25)
    assert plan.complete
    assert plan.gap is not None
    assert plan.gap < 0.5
    assert not [f for f in checked(plan).findings if f.severity >= 3]


def test_a_weight_that_nobody_states_counts_nothing_and_is_named() -> None:
    site = problem(site_text(POINTS, ["hut"], shells("a", 1), costs=""))
    prices = Prices.of(site)
    assert prices.stated  # the Harrowmere kit has prices
    assert prices.costs != DEFAULT
    assert prices.whole(prices.output()) == 0
    assert "costs.per_output" in prices.not_stated


def test_where_nothing_is_stated_at_all_fixed_weights_count(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("bridgewire.planner.prices._priced", lambda _: False)
    prices = Prices.of(problem(site_text(POINTS, ["hut"], shells("a", 1), costs="")))
    assert not prices.stated
    assert prices.whole(prices.output()) == 500
    assert prices.whole(Effort(metres=12.5, runs=1)) == 1250
    assert prices.whole(Effort(parts=1)) == 1000


def test_time_that_is_over_before_it_begins_gives_no_plan_and_says_so() -> None:
    plan = Search(problem(EIGHT_POSITIONS), seconds=0.0).run()
    assert not plan.complete
    assert plan.checked is None
    assert plan.conflict is None
    assert plan.gap is None
    assert not plan.finished


@pytest.mark.parametrize(
    ("drums", "pieces", "can"),
    [
        ([(10.0, 1)], {10.0: 1}, True),
        ([(10.0, 1)], {10.1: 1}, False),
        ([(10.0, 2)], {5.0: 3, 2.5: 2}, True),
        ([(10.0, 2)], {7.0: 2, 3.0: 2}, True),
        ([(10.0, 2)], {7.0: 1, 4.0: 3}, False),
        # First fit would fill the drums in the wrong order.
        ([(12.0, 1), (10.0, 1)], {6.0: 1, 5.0: 2, 3.0: 2}, True),
    ],
)
def test_cutting(drums: list[tuple[float, int]], pieces: dict[float, int], can: bool) -> None:
    assert can_cut(drums, pieces, 10.0, 1) is can
