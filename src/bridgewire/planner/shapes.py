"""Shapes of what may hang on one output: which box place, which positions, how joined.

The family that is looked at: one strip; strips one behind the other; strips on a splitter that
stands at the box place or at one of the positions. Positions that share an output are near one
another (`plan.neighbours`), and a box place is among the nearest of one of them (`plan.places`).
Of all orders of a chain the one with the least cable is taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise, permutations

from attrs import frozen

from bridgewire.planner.problem import Problem
from bridgewire.planner.routes import Route

MOST_ORDERED = 5
"""Longest chain of which every order is tried."""


@frozen(cache_hash=True)
class Shape:
    """What hangs on one output, without its cable.

    Attributes
    ----------
    box : int
        Index in the stock of boxes.
    place : str
        Where the box stands.
    positions : tuple of str
        Of the strips; in order along a chain.
    splitter : str or None
        Full id of the splitter's kind.
    routes : tuple of Route
        One for each run; with a splitter the first leads to it.
    """

    box: int
    place: str
    positions: tuple[str, ...]
    splitter: str | None
    routes: tuple[Route, ...]

    @property
    def parents(self) -> tuple[int, ...]:
        """For each run the index of the run whose end it starts from; -1 for the box."""
        if self.splitter is not None:
            return (-1, *(0 for _ in self.positions))
        return tuple(range(-1, len(self.positions) - 1))

    def hop_of(self, position: int) -> int:
        """Index of the run to the strip at a position (by its place in `positions`)."""
        return position + (self.splitter is not None)


def shapes_of(problem: Problem, places: tuple[str, ...] | None = None) -> tuple[Shape, ...]:
    """List the shapes of a site.

    Parameters
    ----------
    problem : Problem
    places : tuple of str, optional
        Where boxes may stand, if not as the site says.
    """
    allowed = tuple(dict.fromkeys(places or problem.site.box_places))
    sets = tuple(near_sets(problem))
    found: list[Shape] = []
    for box, stock in enumerate(problem.shelf.boxes):
        most = stock.kind.max_strips
        near = {p: nearest_places(problem, p, allowed) for p in problem.positions}
        for group in sets:
            if most is not None and len(group) > most:
                continue
            for place in sorted(set().union(*(near[p] for p in group)), key=allowed.index):
                found += _shapes(problem, box, place, group)
    return tuple(found)


def nearest_places(problem: Problem, position: str, allowed: tuple[str, ...]) -> tuple[str, ...]:
    """The box places looked at for a position, nearest first."""
    routes = [(problem.router.route(place, position), place) for place in allowed]
    reached = sorted((r.length_m, allowed.index(p), p) for r, p in routes if r is not None)
    return tuple(p for _, _, p in reached[: problem.site.plan.places])


def near_sets(problem: Problem) -> Iterator[tuple[str, ...]]:
    """Sets of positions that may share an output, each in the site's order."""
    order = {p: i for i, p in enumerate(problem.positions)}
    near: dict[str, set[str]] = {p: set() for p in order}
    for p in order:
        routes = [(problem.router.route(p, q), q) for q in order if q != p]
        reached = sorted((r.length_m, order[q], q) for r, q in routes if r is not None)
        for _, _, q in reached[: problem.site.plan.neighbours]:
            near[p].add(q)
            near[q].add(p)
    layer: set[tuple[str, ...]] = {(p,) for p in order}
    for _ in range(problem.site.plan.chain):
        yield from sorted(layer, key=lambda s: [order[p] for p in s])
        layer = {
            tuple(sorted((*s, q), key=order.__getitem__))
            for s in layer
            for p in s
            for q in near[p]
            if q not in s
        }


def _shapes(problem: Problem, box: int, place: str, group: tuple[str, ...]) -> Iterator[Shape]:
    route = problem.router.route
    if len(group) == 1:
        direct = route(place, group[0])
        if direct is not None:
            yield Shape(box, place, group, None, (direct,))
        return
    if any(kind.through > 0 for _, kind, _ in problem.shelf.strips):
        chain = _best_chain(problem, place, group)
        if chain is not None:
            yield Shape(box, place, tuple(r.end for r in chain), None, chain)
    if not problem.site.plan.splitters:
        return
    enough = [f for f, kind, _ in problem.shelf.splitters if kind.outlets >= len(group)]
    for full in enough:  # each, as the stock of one may run out
        for spot in _spots(problem, place, group):
            first = route(place, spot)
            rest = [route(spot, p) for p in group]
            if first is not None and all(r is not None for r in rest):
                routes = (first, *(r for r in rest if r is not None))
                yield Shape(box, place, group, full, routes)


def _spots(problem: Problem, place: str, group: tuple[str, ...]) -> tuple[str, ...]:
    """Where a splitter may stand: at the box, and at the position that needs the least cable."""
    totals = []
    for i, spot in enumerate(group):
        routes = [problem.router.route(place, spot)]
        routes += [problem.router.route(spot, p) for p in group]
        if all(r is not None for r in routes):
            totals.append((sum(r.length_m for r in routes if r is not None), i, spot))
    best = (min(totals)[2],) if totals else ()
    return tuple(dict.fromkeys((place, *best)))


def _best_chain(problem: Problem, place: str, group: tuple[str, ...]) -> tuple[Route, ...] | None:
    orders = permutations(group) if len(group) <= MOST_ORDERED else [_greedy(problem, place, group)]
    best: tuple[float, tuple[Route, ...]] | None = None
    for order in orders:
        stops = (place, *order)
        routes = [problem.router.route(a, b) for a, b in pairwise(stops)]
        known = tuple(r for r in routes if r is not None)
        if len(known) < len(routes):
            continue
        total = sum(problem.run_m(r.length_m) for r in known)
        if best is None or total < best[0] - 1e-9:
            best = (total, known)
    return None if best is None else best[1]


def _greedy(problem: Problem, place: str, group: tuple[str, ...]) -> tuple[str, ...]:
    """Always on to the nearest."""
    order: list[str] = []
    here, left = place, list(group)
    while left:
        reached = [(problem.router.route(here, p), p) for p in left]
        here = min((math.inf if r is None else r.length_m, p) for r, p in reached)[1]
        left.remove(here)
        order.append(here)
    return tuple(order)
