"""Where cable may lie between positions, how long that is, and which routes cross."""

from __future__ import annotations

import heapq
import itertools
import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from functools import cached_property

from attrs import define, field, frozen

Point = tuple[float, float]


@frozen
class Route:
    """The way from one position to another."""

    start: str
    end: str
    points: tuple[Point, ...]
    length_m: float


@define(eq=False)
class Router:
    """Finds the shortest way between positions.

    Parameters
    ----------
    where : mapping of str to (float, float)
        Coordinates of every position, m.
    paths : sequence of sequence of str
        Allowed ways; straight from anywhere to anywhere where there is none.
    """

    where: Mapping[str, Point]
    paths: Sequence[Sequence[str]] = ()
    _known: dict[str, dict[str, Route]] = field(factory=dict, init=False)

    @cached_property
    def _next(self) -> Mapping[str, Mapping[str, float]]:
        found: dict[str, dict[str, float]] = defaultdict(dict)
        for path in self.paths:
            for a, b in itertools.pairwise(path):
                found[a][b] = found[b][a] = math.dist(self.where[a], self.where[b])
        return found

    def route(self, start: str, end: str) -> Route | None:
        """The shortest way; None where no path leads there."""
        if start == end:
            return Route(start, end, (self.where[start],), 0.0)
        if not self.paths:
            a, b = self.where[start], self.where[end]
            return Route(start, end, (a, b), math.dist(a, b))
        if start not in self._known:
            self._known[start] = self._search(start)
        return self._known[start].get(end)

    def _search(self, start: str) -> dict[str, Route]:
        best: dict[str, tuple[float, str]] = {start: (0.0, start)}
        open_ends = [(0.0, start)]
        while open_ends:
            length, here = heapq.heappop(open_ends)
            if length > best[here][0]:
                continue
            for there, step in self._next.get(here, {}).items():
                total = length + step
                if there not in best or total < best[there][0] - 1e-12:
                    best[there] = (total, here)
                    heapq.heappush(open_ends, (total, there))
        routes = {}
        for end, (length, _) in best.items():
            back = [end]
            while back[-1] != start:
                back.append(best[back[-1]][1])
            points = tuple(self.where[p] for p in reversed(back))
            routes[end] = Route(start, end, points, length)
        return routes


def cross(one: Route, other: Route) -> bool:
    """Whether two routes cross: somewhere inside, not where they touch or lie side by side.

    >>> a = Route("a", "b", ((0, 0), (10, 10)), 14.1)
    >>> cross(a, Route("c", "d", ((0, 10), (10, 0)), 14.1))
    True
    >>> cross(a, Route("a", "d", ((0, 0), (10, 0)), 10.0))
    False
    """
    return any(
        _properly(a, b, c, d)
        for a, b in zip(one.points, one.points[1:], strict=False)
        for c, d in zip(other.points, other.points[1:], strict=False)
    )


def _properly(a: Point, b: Point, c: Point, d: Point) -> bool:
    if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
        return False
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False
    sides = (_side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b))
    return sides[0] * sides[1] < 0 and sides[2] * sides[3] < 0


def _side(a: Point, b: Point, c: Point) -> int:
    turn = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    limit = 1e-9 * max(1.0, math.dist(a, b) * math.dist(a, c))
    return 0 if abs(turn) <= limit else (1 if turn > 0 else -1)
