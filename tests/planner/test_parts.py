"""The parts of the planner that need no solver."""

from __future__ import annotations

import itertools
import math
import random
import tomllib

import pytest

from bridgewire.model.kit import PulseChoice
from bridgewire.planner.electrics import pulse_choices
from bridgewire.planner.feeds import Take
from bridgewire.planner.routes import Route, Router, cross
from bridgewire.planner.timing import Busy, clash, crowds
from bridgewire.planner.toml import toml_text
from bridgewire.planner.ways import number_ways


def straight(a: tuple[float, float], b: tuple[float, float]) -> Route:
    return Route(str(a), str(b), (a, b), math.dist(a, b))


@pytest.mark.parametrize(
    ("ends", "crosses"),
    [
        (((0, 0), (10, 0), (5, -5), (5, 5)), True),
        (((0, 0), (10, 0), (0, 0), (5, 5)), False),  # from one point
        (((0, 0), (10, 0), (5, 0), (5, 5)), False),  # touches
        (((0, 0), (10, 0), (2, 0), (20, 0)), False),  # side by side
        (((0, 0), (10, 0), (0, 1), (10, 1)), False),  # apart
    ],
)
def test_crossing(ends: tuple[tuple[float, float], ...], crosses: bool) -> None:
    one, other = straight(ends[0], ends[1]), straight(ends[2], ends[3])
    assert cross(one, other) is crosses
    assert cross(other, one) is crosses


def test_routes_follow_paths_and_nothing_else() -> None:
    where = {"a": (0.0, 0.0), "b": (10.0, 0.0), "c": (10.0, 10.0), "d": (50.0, 50.0)}
    router = Router(where, [("a", "b", "c")])
    found = router.route("a", "c")
    assert found is not None
    assert found.length_m == 20.0
    assert found.points == ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0))
    assert router.route("a", "d") is None
    free = Router(where).route("a", "c")
    assert free is not None
    assert free.length_m == pytest.approx(math.sqrt(200))


def test_the_shortest_of_several_paths() -> None:
    where = {str(i): (float(i % 4), float(i // 4)) for i in range(16)}
    paths = [(str(i), str(i + 1)) for i in range(15) if i % 4 != 3]
    paths += [(str(i), str(i + 4)) for i in range(12)]
    router = Router(where, paths)
    for a, b in itertools.product(where, where):
        route = router.route(a, b)
        assert route is not None
        assert route.length_m == pytest.approx(
            abs(where[a][0] - where[b][0]) + abs(where[a][1] - where[b][1])
        )


@pytest.mark.parametrize("seed", range(20))
def test_crowds_are_just_the_largest_sets_that_clash(seed: int) -> None:
    dice = random.Random(seed)
    busy = [
        Busy(s, s + dice.choice([0.5, 3.0, 9.0])) for s in (dice.uniform(0, 60) for _ in range(9))
    ]
    pause = dice.choice([0.0, 1.0])
    found = {frozenset(c) for c in crowds(busy, range(9), pause)}
    wanted = set()
    for n in range(2, 10):
        for group in itertools.combinations(range(9), n):
            if all(clash(busy[a], busy[b], pause) for a, b in itertools.combinations(group, 2)):
                wanted.add(frozenset(group))
    assert found == {g for g in wanted if not any(g < h for h in wanted)}


def test_ways_of_strips_that_share_some() -> None:
    a, b, both = Take(0, ("a",)), Take(1, ("b",)), Take(2, ("a", "b"))
    cues = (
        [(i, a) for i in range(5)]
        + [(5 + i, b) for i in range(5)]
        + [(10 + i, both) for i in range(3)]
    )
    found = number_ways(cues, {"a": 8, "b": 8}, 16, {i: float(i) for i in range(13)})
    assert found is not None
    assert sorted(found.way.values()) == list(range(1, 14))
    for position in ("a", "b"):
        first = found.first_way[position]
        mine = [found.way[c] for c, t in cues if position in t.positions]
        assert all(first <= w < first + 8 for w in mine)


def test_no_order_of_ways_may_fit() -> None:
    ab, bc, ca = Take(0, ("a", "b")), Take(1, ("b", "c")), Take(2, ("a", "c"))
    cues = [(0, ab), (1, ab), (2, bc), (3, bc), (4, ca), (5, ca)]
    order = {i: float(i) for i in range(6)}
    assert number_ways(cues, dict.fromkeys("abc", 4), 16, order) is None
    assert number_ways(cues, dict.fromkeys("abc", 6), 16, order) is not None


def test_pulses_that_are_tried() -> None:
    steps = PulseChoice(min_s=0.05, max_s=4.0, step_s=0.05)
    assert pulse_choices(steps, 2.0, None) == [2.0, 4.0]
    assert pulse_choices(steps, 9.0, None) == [4.0]
    assert pulse_choices(steps, None, 0.07) == []
    assert pulse_choices(steps, None, 0.1) == [0.1]
    assert pulse_choices(PulseChoice((0.02, 0.05)), 0.1, None) == [0.05]
    assert pulse_choices(None, 0.05, None) == [0.05]
    assert pulse_choices(None, None, None) == []


@pytest.mark.parametrize("name", ['a "b" \\ c', "line\nfeed", "\x7f", "é", "=1+1", "<script>"])
def test_toml_reads_back(name: str) -> None:
    data = {
        "format": 1,
        "title": name,
        "site": {"ambient_C": {"min": -1.5, "max": 2}},
        "box": [{"id": name, "at_m": [0.0, 1e-7], "on": True}],
    }
    assert tomllib.loads(toml_text(data, ("a head",))) == data
