"""The planner beside an enumeration that knows nothing of it.

The enumeration makes every way to part the positions into single strips and chains of two, with
every box place, order and cable, prices them by hand, and asks `check` from the cheapest on.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product

import pytest

from bridgewire.api import Report
from bridgewire.diagnostics import Severity
from bridgewire.planner.search import plan_site
from bridgewire.timeline.outcomes import Verdict
from tests.planner.sites import check_text, fountains, problem, shells, site_text

pytest.importorskip("ortools")

PER_M, PER_OUTPUT, PER_PART = 0.5, 3.0, 2.0
PRICES = {
    "heron": 640.0,
    "jetty-strip-8": 18.0,
    "jetty-strip-16": 29.0,
    "shore-cable": 0.45,
    "pier-cable": 1.3,
}
"""Of the shipped Harrowmere kit, copied by hand."""
Points = dict[str, tuple[float, float]]
Block = tuple[str, tuple[str, ...], str, str]
"""Place, positions in order, cable of the first run, cable of the second."""


def metres(points: Points, a: str, b: str) -> float:
    return max(math.ceil((math.dist(points[a], points[b]) + 1.0) / 0.5 - 1e-9), 1) * 0.5


def partings(positions: tuple[str, ...]) -> Iterator[list[tuple[str, ...]]]:
    if not positions:
        yield []
        return
    first, rest = positions[0], positions[1:]
    for others in partings(rest):
        yield [(first,), *others]
    for i, mate in enumerate(rest):
        for others in partings(rest[:i] + rest[i + 1 :]):
            yield [(first, mate), *others]


def blocks(points: Points, places: list[str], group: tuple[str, ...]) -> Iterator[Block]:
    cables = ("shore-cable", "pier-cable")
    orders = [group] if len(group) == 1 else [group, group[::-1]]
    for place, order in product(places, orders):
        for first in cables:
            for second in cables if len(order) > 1 else ("",):
                yield place, order, first, second
    del points


def cost(points: Points, plan: list[Block], cues: dict[str, int]) -> float:
    total = 0.0
    boxes: dict[str, int] = {}
    for place, order, first, second in plan:
        boxes[place] = boxes.get(place, 0) + 1
        total += PER_OUTPUT
        for start, end, cable in zip((place, *order), order, (first, second), strict=False):
            total += metres(points, start, end) * (PRICES[cable] + PER_M)
        for position in order:
            kind = "jetty-strip-8" if cues[position] <= 8 else "jetty-strip-16"
            total += PRICES[kind] + PER_PART
    number = sum(math.ceil(n / 8) for n in boxes.values())
    return total + number * (PRICES["heron"] + PER_PART)


def show(
    points: Points, plan: list[Block], loads: dict[str, list[tuple[str, float, float]]]
) -> str:
    lines = [
        'format = 1\ntitle = "by hand"\nkits = ["harrowmere", "generic"]',
        "[site]\nambient_C = { min = 4, typical = 11, max = 18 }",
        "[requirements]\nmargin = 1.2\nlatest_light_s = 1.5\nspread_s = 0.2",
    ]
    lines += [f'[[position]]\nid = "{p}"\nat_m = [{x}, {y}]' for p, (x, y) in points.items()]
    used: dict[str, int] = {}
    for n, (place, order, first, second) in enumerate(plan):
        if used.setdefault(place, 0) == 0:
            lines.append(
                f'[[box]]\nid = "box {place}"\nkind = "harrowmere:heron"\nposition = "{place}"\n'
                "supply_V = { min = 21.0, typical = 21.2, max = 21.4 }\nstandby_s = 1800"
            )
        used[place] += 1
        before, way = f"box {place}/{used[place]}", 1
        for position, cable in zip(order, (first, second), strict=False):
            strip = f"s{n} {position}"
            here = loads[position]
            kind = "jetty-strip-8" if len(here) <= 8 else "jetty-strip-16"
            start = place if before.startswith("box") else order[0]
            lines.append(
                f'[[strip]]\nid = "{strip}"\nkind = "harrowmere:{kind}"\nposition = "{position}"\n'
                f"first_way = {way}"
            )
            lines.append(
                f'[[run]]\nfrom = "{before}"\nto = "{strip}"\ncable = "harrowmere:{cable}"\n'
                f"length_m = {{ typical = {metres(points, start, position)}, tol_pct = 3 }}"
            )
            for klass, time_s, pulse_s in here:
                lines.append(
                    f'[[igniter]]\nid = "{position} {way}"\nat = "{strip}/{way}"\nclass = "{klass}"'
                )
                lines.append(
                    f'[[cue]]\nid = "{position} {way}"\nfire = "box {place}/{used[place]}/{way}"\n'
                    f"time_s = {time_s}\npulse_s = {pulse_s}"
                )
                way += 1
            before = strip
    return "\n".join(lines)


def good(report: Report) -> bool:
    wrong = {"FIR002", "FIR005", "TIM006", "TIM009", "SUP002"}
    return all(c.verdict is Verdict.SURE for c in report.cues) and not any(
        f.severity is Severity.ERROR or f.code in wrong for f in report.findings
    )


def least_cost(
    points: Points, places: list[str], loads: dict[str, list[tuple[str, float, float]]]
) -> float:
    cues = {p: len(x) for p, x in loads.items()}
    every = [
        (cost(points, list(plan), cues), list(plan))
        for parting in partings(tuple(loads))
        for plan in product(*(list(blocks(points, places, g)) for g in parting))
        if all(sum(cues[p] for p in b[1]) <= 16 for b in plan)
    ]
    every.sort(key=lambda e: e[0])
    for price, plan in every:
        if good(check_text(show(points, plan, loads))):
            return price
    raise AssertionError("nothing is good enough")


MATCH, SLOW = "harrowmere:lantern-match", "generic:clip-on-short"
SITES: dict[str, tuple[Points, list[str], dict[str, tuple[int, int]]]] = {
    "two near": ({"hut": (0, 0), "a": (10, 2), "b": (18, 3)}, ["hut"], {"a": (4, 0), "b": (5, 0)}),
    "two places": (
        {"hut": (0, 0), "shed": (50, 0), "a": (12, 4), "b": (38, 5), "c": (44, -6)},
        ["hut", "shed"],
        {"a": (6, 0), "b": (9, 0), "c": (3, 0)},
    ),
    "slow and far": (
        {"hut": (0, 0), "a": (40, 0), "b": (47, 5)},
        ["hut"],
        {"a": (2, 2), "b": (2, 1)},
    ),
}


@pytest.mark.parametrize("name", list(SITES))
def test_no_enumerated_plan_is_cheaper(name: str) -> None:
    points, places, numbers = SITES[name]
    loads = {
        p: [(MATCH, 10.0 + 100.0 * i + 10.0 * k, 0.05) for k in range(fast)]
        + [(SLOW, 13.0 + 100.0 * i + 20.0 * k, 2.0) for k in range(slow)]
        for i, (p, (fast, slow)) in enumerate(numbers.items())
    }
    wanted = "".join(
        shells(p, fast, first_s=10.0 + 100.0 * i)
        + (fountains(p, slow, first_s=13.0 + 100.0 * i, step_s=20.0) if slow else "")
        for i, (p, (fast, slow)) in enumerate(numbers.items())
    )
    text = site_text(points, places, wanted, plan='crossings = "allow"\nsplitters = false')
    plan = plan_site(problem(text), seconds=60.0, workers=1)
    assert plan.complete
    assert plan.finished
    assert plan.cost == pytest.approx(least_cost(points, places, loads), abs=0.2)
    assert plan.gap == pytest.approx(0.0, abs=1e-3)
