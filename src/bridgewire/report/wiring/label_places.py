"""Where labels stand so that none lies on another: greedy, the nearest free place first."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_DISTANCES = (3.0, 10.0, 18.0, 28.0, 40.0, 56.0, 76.0)
_DIRECTIONS = 16
_PER_LINE_POINT, _HIDDEN = 1.5, 8.0


@frozen
class Area:
    """A rectangle; y grows downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Area) -> bool:
        """Whether two areas overlap; touching edges do not count.

        >>> Area(0, 0, 2, 2).meets(Area(1, 1, 3, 3)), Area(0, 0, 2, 2).meets(Area(2, 0, 3, 2))
        (True, False)
        """
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def within(self, other: Area) -> bool:
        """Whether it lies wholly inside another."""
        return (
            other.left <= self.left
            and self.right <= other.right
            and other.top <= self.top
            and self.bottom <= other.bottom
        )

    def nearest(self, x: float, y: float) -> tuple[float, float]:
        """Its point that is nearest to a place."""
        return min(max(x, self.left), self.right), min(max(y, self.top), self.bottom)


@frozen
class Placed:
    """A label's area and its distance from what it names."""

    area: Area
    away: float


class Sheet:
    """An area that fills up with labels.

    Parameters
    ----------
    bounds : Area
    marks : sequence of Area
        What no label may cover.
    lines : array of shape (points, 2)
        Points of lines that labels had better not cover.
    """

    def __init__(self, bounds: Area, marks: Sequence[Area], lines: Floats) -> None:
        self.bounds = bounds
        self.lines = lines
        self._taken = np.array([_edges(m) for m in marks]).reshape(-1, 4)

    def free(self, area: Area) -> bool:
        """Whether a label may stand here."""
        t = self._taken
        return area.within(self.bounds) and not bool(
            np.any(
                (t[:, 0] < area.right)
                & (area.left < t[:, 2])
                & (t[:, 1] < area.bottom)
                & (area.top < t[:, 3])
            )
        )

    def take(self, area: Area) -> None:
        """Let no further label stand here."""
        self._taken = np.vstack([self._taken, _edges(area)])

    def crossings(self, area: Area) -> int:
        """How many points of lines an area covers."""
        x, y = self.lines[:, 0], self.lines[:, 1]
        inside = (x > area.left) & (x < area.right) & (y > area.top) & (y < area.bottom)
        return int(np.count_nonzero(inside))

    def around(self, x: float, y: float, width: float, height: float) -> Placed | None:
        """Find room for a label beside a point and take it; None if there is none."""
        best: tuple[float, Placed] | None = None
        for away in _DISTANCES:
            if best is not None and best[0] <= away:
                break
            for k in range(_DIRECTIONS):
                angle = 2.0 * math.pi * k / _DIRECTIONS
                reach = away + 6.0
                cx = x + math.cos(angle) * (reach + 0.5 * width)
                cy = y - math.sin(angle) * (reach + 0.5 * height)
                area = _centred(cx, cy, width, height)
                if not self.free(area):
                    continue
                leader = _leader(x, y, area)
                cost = (
                    away + _PER_LINE_POINT * self.crossings(area) + _HIDDEN * self._hidden(leader)
                )
                if best is None or cost < best[0] - 1e-9:
                    best = (cost, Placed(area, away))
        if best is None:
            return None
        self.take(best[1].area)
        if best[1].away > _DISTANCES[0]:
            self.lines = np.vstack([self.lines, _leader(x, y, best[1].area)])
        return best[1]

    def _hidden(self, leader: Floats) -> int:
        """How many points of a leader lie under labels and marks."""
        x, y, t = leader[:, :1], leader[:, 1:], self._taken
        under = (x > t[:, 0]) & (x < t[:, 2]) & (y > t[:, 1]) & (y < t[:, 3])
        return int(np.count_nonzero(under.any(axis=1)))

    def along(self, points: Floats, width: float, height: float) -> Placed | None:
        """Find room for a label on a line and take it; None if there is none.

        The label may cover the line that it names, the nearer to its middle the better.
        """
        best: tuple[float, Placed] | None = None
        count = len(points)
        for k in range(count):
            share = k / (count - 1) if count > 1 else 0.5
            if not 0.12 <= share <= 0.88:
                continue
            x, y = points[k].tolist()
            area = _centred(x, y, width, height)
            if not self.free(area):
                continue
            cost = 40.0 * abs(share - 0.5) + 4.0 * self.crossings(area)
            if best is None or cost < best[0] - 1e-9:
                best = (cost, Placed(area, 0.0))
        if best is not None:
            self.take(best[1].area)
            return best[1]
        return None


def _leader(x: float, y: float, area: Area) -> Floats:
    """Points of the line from a mark to its label, outside the mark."""
    ends = np.array([(x, y), area.nearest(x, y)])
    length = float(np.hypot(*(ends[1] - ends[0])))
    places = np.arange(8.0, length, 3.0) / max(length, 1e-9)
    return np.asarray(ends[0] + places[:, None] * (ends[1] - ends[0]))


def _edges(area: Area) -> tuple[float, float, float, float]:
    return area.left, area.top, area.right, area.bottom


def _centred(x: float, y: float, width: float, height: float) -> Area:
    return Area(x - 0.5 * width, y - 0.5 * height, x + 0.5 * width, y + 0.5 * height)
