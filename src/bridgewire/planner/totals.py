"""What a plan takes: cable by kind, parts by kind, and its cost."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping

from attrs import frozen

from bridgewire.planner.prices import STEPS
from bridgewire.planner.result import Plan
from bridgewire.remedies.change import Effort
from bridgewire.remedies.cost import Cost


@frozen
class Totals:
    """Totals of a plan.

    Attributes
    ----------
    metres, runs : mapping of str to float or int
        By full id of the cable.
    boxes, strips, splitters : mapping of str to int
        By full id.
    outputs : int
    cost : Cost
    split : mapping of str to float
        Of the plan's cost: ``boxes``, ``strips``, ``splitters``, ``cable``, ``outputs``. As in
        that, each part, run and output counts with its price to the nearest hundredth, so that
        they add up to it.
    """

    metres: Mapping[str, float]
    runs: Mapping[str, int]
    boxes: Mapping[str, int]
    strips: Mapping[str, int]
    splitters: Mapping[str, int]
    outputs: int
    cost: Cost
    split: Mapping[str, float]


def totals_of(plan: Plan) -> Totals:
    """Add up a plan."""
    prices, shelf = plan.prices, plan.problem.shelf
    metres: dict[str, float] = defaultdict(float)
    runs: Counter[str] = Counter()
    whole = Effort()
    steps = dict.fromkeys(("boxes", "strips", "splitters", "cable", "outputs"), 0)

    def add(kind: str, effort: Effort) -> None:
        nonlocal whole
        whole += effort
        steps[kind] += prices.whole(effort)

    boxes = Counter(shelf.boxes[b].item for b in (k[0] for k in {p.box for p in plan.placed}))
    strips = Counter(k for p in plan.placed for k in p.strips.values())
    splitters = Counter(s for p in plan.placed if (s := p.feed.shape.splitter) is not None)
    for table, name, counts in (
        ("box", "boxes", boxes),
        ("strip", "strips", strips),
        ("splitter", "splitters", splitters),
    ):
        for full, number in counts.items():
            for _ in range(number):
                add(name, prices.part(table, full))
    for placed in plan.placed:
        add("outputs", prices.output())
        for lay in placed.feed.lays:
            metres[lay.cable] += lay.length_m
            runs[lay.cable] += 1
            add("cable", prices.run(lay))
    return Totals(
        dict(sorted(metres.items())),
        dict(sorted(runs.items())),
        dict(sorted(boxes.items())),
        dict(sorted(strips.items())),
        dict(sorted(splitters.items())),
        len(plan.placed),
        prices.cost(whole),
        {kind: number / STEPS for kind, number in steps.items()},
    )
