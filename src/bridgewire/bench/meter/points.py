"""The points at which the faults of a tree are tried."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen

from bridgewire.bench.meter.faults import TreeFault
from bridgewire.physics.network import Floats, Ints

STEPS = np.linspace(-3.0, 3.0, 7)
"""Where the part of the cables' scatter that they have in common is tried, standard deviations."""


@frozen(eq=False)
class TreePoints:
    """Points of the grids of some tree faults, each with each step of the common cable scatter."""

    faults: tuple[TreeFault, ...]
    fault: Ints
    """Place of each point's fault in `faults`."""
    point: Ints
    """Place on the grid of that fault."""
    step: Floats
    """Of `STEPS`."""
    log_prior: Floats
    index: Ints
    """Place of each point among all points of the faults."""

    def take(self, index: Ints) -> TreePoints:
        """Some of the points."""
        return TreePoints(
            self.faults,
            self.fault[index],
            self.point[index],
            self.step[index],
            self.log_prior[index],
            self.index[index],
        )

    @classmethod
    def of(cls, faults: Sequence[TreeFault], weights: Sequence[float]) -> TreePoints:
        """All points of some faults, with their prior weights."""
        normal = np.exp(-(STEPS**2) / 2.0)
        normal /= normal.sum()
        fault, point, step, prior = [], [], [], []
        for i, (f, w) in enumerate(zip(faults, weights, strict=True)):
            for k in range(f.points):
                for z, share in zip(STEPS, normal, strict=True):
                    fault.append(i)
                    point.append(k)
                    step.append(z)
                    prior.append(math.log(w / f.points * share))
        return cls(
            tuple(faults),
            np.array(fault, dtype=np.intp),
            np.array(point, dtype=np.intp),
            np.array(step),
            np.array(prior),
            np.arange(len(fault), dtype=np.intp),
        )
