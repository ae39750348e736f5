"""What any plan costs at least, whatever hangs on which output."""

from __future__ import annotations

import math

from attrs import frozen

from bridgewire.planner.circuits import Lay
from bridgewire.planner.prices import STEPS, Prices
from bridgewire.planner.problem import Problem
from bridgewire.remedies.change import Effort, Item


@frozen
class FreeBound:
    """A bound for every plan in which runs join positions and box places.

    Attributes
    ----------
    metres : float
        Of cable, at least.
    strips, outputs, boxes : int
        At least.
    total : float
        What these cost at the lowest prices in stock.
    """

    metres: float
    strips: int
    outputs: int
    boxes: int
    total: float


def free_bound(problem: Problem, prices: Prices) -> FreeBound:
    """Bound the cost of a site from below.

    Every position with something wanted is joined, perhaps by way of others, to some box place:
    the runs hold a spanning forest of them, whose least length is that of the shortest one.
    Each position has a strip, each cue a way of an output.

    Parameters
    ----------
    problem : Problem
    prices : Prices
    """
    shelf, plan = problem.shelf, problem.site.plan
    if not (shelf.boxes and shelf.strips and shelf.cables and problem.positions):
        return FreeBound(0.0, 0, 0, 0, 0.0)
    runs = _forest(problem)
    metres = math.fsum(runs)
    widest = max(kind.ways for _, kind, _ in shelf.strips)
    rooms = [max(b.kind.ways - plan.spare_ways, 1) for b in shelf.boxes]
    strips = sum(
        max(math.ceil(len(cues) / min(widest, max(rooms))), 1) for cues in problem.at.values()
    )
    outputs = math.ceil(len(problem.cues) / max(rooms))
    boxes = math.ceil(outputs / max(b.kind.outputs for b in shelf.boxes))

    def least(*efforts: Effort) -> float:
        return min(prices.whole(e) for e in efforts) / STEPS

    cable = math.fsum(
        least(*(prices.run(Lay(c.item, m)) for c in shelf.cables)) for m in runs if m > 0.0
    )
    # Runs beyond one for each strip cost at least nothing; those of the forest are counted.
    total = cable
    total += strips * least(*(prices.part("strip", f) for f, _, _ in shelf.strips))
    total += outputs * least(Effort(outputs=1))
    total += boxes * least(*(Effort((Item("box", b.item, 1),), parts=1) for b in shelf.boxes))
    return FreeBound(metres, strips, outputs, boxes, total)


def _forest(problem: Problem) -> list[float]:
    """Lengths of the runs of the shortest spanning forest from the box places (Prim)."""
    places = problem.site.box_places
    metres: dict[str, float] = {}
    for p in problem.positions:
        routes = [problem.router.route(b, p) for b in places]
        metres[p] = min(
            (problem.run_m(r.length_m) for r in routes if r is not None), default=math.inf
        )
    lengths: list[float] = []
    left = list(problem.positions)
    while left:
        here = min(left, key=lambda p: (metres[p], p))
        left.remove(here)
        if math.isinf(metres[here]):
            continue
        lengths.append(metres[here])
        for p in left:
            route = problem.router.route(here, p)
            if route is not None:
                metres[p] = min(metres[p], problem.run_m(route.length_m))
    return lengths
