"""The cutting plan against trying everything, against known optima, and at its limits."""

from __future__ import annotations

import time
from collections import Counter
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.report.sheets import cutting_graph
from bridgewire.report.sheets.cutting_plan import Demand, Plan, Stock
from bridgewire.report.sheets.cutting_stock import plan_cuts

Worth = tuple[int, int, int, int, int]


def worth(plan: Plan, stocks: list[Stock], keep_from: int) -> Worth:
    """What the plan is judged by, in its order; less is better."""
    lengths = {s.id: s.length for s in stocks}
    left = [c.left for c in plan.cuts]
    return (
        sum(d.length * d.count for d in plan.uncut),
        len(plan.cuts),
        sum(lengths[c.stock] for c in plan.cuts),
        sum(n for n in left if n < keep_from),
        -max((n for n in left if n >= keep_from), default=0),
    )


def by_trying_everything(stocks: list[Stock], demands: list[Demand], keep_from: int) -> Worth:
    """The least worth over every way to lay every piece on a drum or leave it."""
    drums = [s for s in stocks for _ in range(s.count)]
    pieces = [d for d in demands for _ in range(d.count)]

    @cache
    def reachable(rooms: tuple[int, ...], index: int) -> frozenset[tuple[int, tuple[int, ...]]]:
        if index == len(pieces):
            return frozenset({(0, rooms)})
        piece = pieces[index]
        found = {(u + piece.length, r) for u, r in reachable(rooms, index + 1)}
        for i, drum in enumerate(drums):
            if rooms[i] >= piece.length and piece.pinned in (None, drum.id):
                fewer = (*rooms[:i], rooms[i] - piece.length, *rooms[i + 1 :])
                found |= reachable(fewer, index + 1)
        return frozenset(found)

    def judged(uncut: int, rooms: tuple[int, ...]) -> Worth:
        opened = [(d, r) for d, r in zip(drums, rooms, strict=True) if r < d.length]
        left = [r for _, r in opened]
        return (
            uncut,
            len(opened),
            sum(d.length for d, _ in opened),
            sum(n for n in left if n < keep_from),
            -max((n for n in left if n >= keep_from), default=0),
        )

    start = tuple(d.length for d in drums)
    return min(judged(u, r) for u, r in reachable(start, 0))


def holds(plan: Plan, stocks: list[Stock], demands: list[Demand]) -> None:
    """The plan cuts what is asked for, from what is there."""
    asked: Counter[tuple[int, str | None]] = Counter()
    for d in demands:
        asked[(d.length, d.pinned)] += d.count
    given_: Counter[tuple[int, str | None]] = Counter()
    for d in plan.uncut:
        given_[(d.length, d.pinned)] += d.count
    used: Counter[str] = Counter(c.stock for c in plan.cuts)
    by_id = {s.id: s for s in stocks}
    for cut in plan.cuts:
        assert cut.pieces
        assert sum(p.length for p in cut.pieces) + cut.left == by_id[cut.stock].length
        for piece in cut.pieces:
            assert piece.pinned in (None, cut.stock)
            given_[(piece.length, piece.pinned)] += 1
    assert given_ == asked
    assert all(n <= by_id[s].count for s, n in used.items())


@st.composite
def tasks(draw: st.DrawFn) -> tuple[list[Stock], list[Demand], int]:
    kinds = draw(st.integers(1, 2))
    stocks = [
        Stock(f"reel {i}", draw(st.integers(3, 14)), draw(st.integers(1, 2))) for i in range(kinds)
    ]
    names = st.sampled_from([None, None, None, *(s.id for s in stocks)])
    demands = [
        Demand(draw(st.integers(1, 10)), draw(st.integers(1, 2)), draw(names))
        for _ in range(draw(st.integers(1, 4)))
    ]
    return stocks, demands, draw(st.integers(0, 4))


@settings(max_examples=120, deadline=None)
@given(tasks())
def test_nothing_is_better_than_the_plan(task: tuple[list[Stock], list[Demand], int]) -> None:
    stocks, demands, keep_from = task
    plan = plan_cuts(stocks, demands, keep_from=keep_from)
    holds(plan, stocks, demands)
    assert plan.proven
    assert plan.tidy
    found = worth(plan, stocks, keep_from)
    assert found == by_trying_everything(stocks, demands, keep_from)
    assert plan.least_uncut == found[0]
    assert plan.least_drums <= found[1]


@settings(max_examples=40, deadline=None)
@given(tasks())
def test_the_quick_plan_is_sound_and_its_bounds_hold(
    task: tuple[list[Stock], list[Demand], int],
) -> None:
    stocks, demands, _ = task
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cutting_graph, "MAX_ARCS", 0)
        quick = plan_cuts(stocks, demands)
    best = plan_cuts(stocks, demands)
    holds(quick, stocks, demands)
    assert quick.least_uncut <= best.uncut_length <= quick.uncut_length
    if best.uncut_length == quick.uncut_length:
        assert quick.least_drums <= len(best.cuts) <= len(quick.cuts)
    if quick.proven:
        assert worth(quick, stocks, 0)[:2] == worth(best, stocks, 0)[:2]


WIDTHS = (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200)
ORDERS = (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20)


def test_paper_rolls_of_the_textbook_example() -> None:
    """13 widths from rolls of 5600 mm: 73 rolls are the least.

    Encyclopaedia article "Cutting stock problem" (master rolls of 5600 mm), from memory.
    """
    orders = [Demand(w, n) for w, n in zip(WIDTHS, ORDERS, strict=True)]
    stocks = [Stock("roll", 5600, 100)]
    plan = plan_cuts(stocks, orders)
    holds(plan, stocks, orders)
    assert plan.proven
    assert len(plan.cuts) == 73
    assert plan.least_drums == 73


def test_drums_of_two_lengths() -> None:
    """One long drum beats two short ones, though more cable is opened."""
    plan = plan_cuts([Stock("short", 50, 2), Stock("long", 120, 1)], [Demand(40, 2)])
    assert [c.stock for c in plan.cuts] == ["long"]
    assert plan.cuts[0].left == 40


def test_as_few_drums_but_shorter_ones() -> None:
    plan = plan_cuts([Stock("long", 120, 2), Stock("short", 50, 1)], [Demand(70, 1), Demand(45, 1)])
    assert len(plan.cuts) == 1
    plan = plan_cuts([Stock("long", 120, 2), Stock("short", 50, 1)], [Demand(90, 1), Demand(45, 1)])
    assert sorted(c.stock for c in plan.cuts) == ["long", "short"]


def test_left_overs_come_in_one_long_piece() -> None:
    """Two drums either way; 8 and 0 left rather than 4 and 4."""
    plan = plan_cuts([Stock("reel", 20, 2)], [Demand(12, 1), Demand(8, 2), Demand(4, 1)])
    assert sorted(c.left for c in plan.cuts) == [0, 8]


def test_waste_is_avoided_before_one_long_left_over_is_sought() -> None:
    """Of 20 + 20 with 10 + 5 + 9 cut: left 5 + 11 or 1 + 15; where 1 is waste, 5 + 11."""
    demands = [Demand(10, 1), Demand(5, 1), Demand(9, 1)]
    stocks = [Stock("reel", 20, 2)]
    assert sorted(c.left for c in plan_cuts(stocks, demands).cuts) == [1, 15]
    assert sorted(c.left for c in plan_cuts(stocks, demands, keep_from=3).cuts) == [5, 11]


def test_what_cannot_be_cut_is_least() -> None:
    """From 10: 7 + 3 leaves 6 uncut; 6 + 3 would leave 7."""
    plan = plan_cuts([Stock("reel", 10, 1)], [Demand(7, 1), Demand(6, 1), Demand(3, 1)])
    assert plan.uncut == (Demand(6, 1),)
    assert plan.least_uncut == 6


def test_a_piece_longer_than_every_drum_is_left() -> None:
    plan = plan_cuts([Stock("reel", 10, 9)], [Demand(11, 2), Demand(4, 1)])
    assert plan.uncut == (Demand(11, 2),)
    assert plan.proven
    assert plan.least_uncut == 22


def test_without_drums_all_is_uncut() -> None:
    plan = plan_cuts([], [Demand(4, 2)])
    assert plan.uncut == (Demand(4, 2),)
    assert plan.cuts == ()


def test_a_pinned_piece_stays_on_its_drum() -> None:
    stocks = [Stock("a", 10, 1), Stock("b", 10, 1)]
    plan = plan_cuts(stocks, [Demand(4, 1, "a"), Demand(4, 1, "b")])
    assert {c.stock: [p.length for p in c.pieces] for c in plan.cuts} == {"a": [4], "b": [4]}
    assert plan_cuts(stocks, [Demand(4, 1, "gone")]).uncut == (Demand(4, 1, "gone"),)


def test_a_search_that_is_cut_short_says_so() -> None:
    demands = [Demand(81 + 17 * i, 3) for i in range(14)]
    plan = plan_cuts([Stock("reel", 1000, 40)], demands, time_limit_s=1e-9)
    holds(plan, [Stock("reel", 1000, 40)], demands)
    assert not plan.tidy
    assert plan.proven == (plan.least_drums == len(plan.cuts))
    assert 0 < plan.least_drums <= len(plan.cuts)


def test_a_show_of_full_size_takes_a_few_seconds() -> None:
    """Ninety runs of a lake shore, in steps of 0.1 m."""
    demands = [Demand(83 + 13 * (i % 11), 1 + i % 4) for i in range(36)]
    assert sum(d.count for d in demands) == 90
    begun = time.process_time()
    plan = plan_cuts([Stock("full", 1000, 20), Stock("rest", 640, 3)], demands, keep_from=50)
    assert plan.proven
    assert time.process_time() - begun < 20.0


@pytest.mark.parametrize(("length", "count"), [(0, 1), (1, 0), (-3, 1)])
def test_nonsense_is_refused(length: int, count: int) -> None:
    with pytest.raises(ValueError, match="at least 1"):
        plan_cuts([Stock("reel", 10, 1)], [Demand(length, count)])
