"""How much of the probability each cause of one circuit's readings takes."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from typing import Literal, TypeAlias

import numpy as np
from attrs import define, frozen

from bridgewire.bench.meter.faults import TreeFault, WayFault
from bridgewire.bench.meter.points import TreePoints
from bridgewire.physics.network import Floats, Ints

CauseName: TypeAlias = tuple[Literal["none", "tree", "way", "other"], int]
"""What sort of cause, and its place among the faults of the tree or of the way."""
_NOTHING = 1e-9
"""Smaller shares are left out."""


@define
class CauseSum:
    """What one cause has taken so far."""

    share: float = 0.0
    value: float = 0.0
    """Free value, weighed by the share of each point."""
    best: float = -math.inf
    """Share of its likeliest point."""
    where: tuple[int, int] = (0, 0)
    """Tree point and way point of that."""

    def add(self, share: float, value: float, best: float, where: tuple[int, int]) -> None:
        """Add a part."""
        self.share += share
        self.value += value * share
        if best > self.best:
            self.best, self.where = best, where


@frozen(eq=False)
class Evidence:
    """What the readings of a tree say of one way, over all points of the tree's faults.

    Attributes
    ----------
    tree_faults : sequence of TreeFault
    way_faults : sequence of WayFault
    points : TreePoints
    share : array, shape (tree points,)
        Probability of each.
    quick : array, shape (tree points,)
        Log-likelihood of the way's readings without a fault of its own.
    rest : float
        The same with a fault that is not in the list, prior weight included.
    close : int array
        Tree points that were tried together with every fault of the way.
    full : array, shape (close points, way points)
        Log-likelihood there, prior weight included.
    """

    tree_faults: Sequence[TreeFault]
    way_faults: Sequence[WayFault]
    points: TreePoints
    share: Floats
    quick: Floats
    rest: float
    close: Ints
    full: Floats

    def sums(self) -> dict[CauseName, CauseSum]:
        """The share of every cause that has any."""
        found: dict[CauseName, CauseSum] = defaultdict(CauseSum)
        place = {int(t): i for i, t in enumerate(self.close)}
        for t in np.flatnonzero(self.share > _NOTHING).tolist():
            share = self.share[t]
            if t in place:
                row = self.full[place[t]]
                whole = float(np.logaddexp(np.logaddexp.reduce(row), self.rest))
                self._add_ways(found, t, share * np.exp(row - whole))
            else:
                whole = float(np.logaddexp(self.quick[t], self.rest))
                part = float(share * np.exp(self.quick[t] - whole))
                found[self._of_tree(t)].add(part, self._tree_value(t), part, (t, 0))
            left = float(share * np.exp(self.rest - whole))
            found["other", 0].add(left, 0.0, left, (t, 0))
        return found

    def _add_ways(self, found: dict[CauseName, CauseSum], t: int, part: Floats) -> None:
        """Share out what a tree point has among the faults of the way."""
        starts = np.cumsum([0, *(f.points for f in self.way_faults)])[:-1]
        totals = np.add.reduceat(part, starts)
        for f in np.flatnonzero(totals >= _NOTHING).tolist():
            fault, start, total = self.way_faults[f], int(starts[f]), float(totals[f])
            mine = part[start : start + fault.points]
            best = int(np.argmax(mine))
            name, value = self._of_tree(t), self._tree_value(t)
            if fault.kind != "none":
                name = ("way", f)
                value = 0.0 if fault.values is None else float(mine @ fault.values) / total
            found[name].add(total, value, float(mine[best]), (t, start + best))

    def _of_tree(self, t: int) -> CauseName:
        fault = int(self.points.fault[t])
        return ("none", 0) if self.tree_faults[fault].kind == "none" else ("tree", fault)

    def _tree_value(self, t: int) -> float:
        values = self.tree_faults[int(self.points.fault[t])].values
        return 0.0 if values is None else float(values[self.points.point[t]])
