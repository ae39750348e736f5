"""Which measurement, not made yet, best tells two causes apart."""

from __future__ import annotations

import math

import numpy as np
from attrs import frozen

from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.faults import WayFault
from bridgewire.bench.meter.likelihood import SEEN_OPEN_OHM, WayModel
from bridgewire.bench.meter.points import TreePoints
from bridgewire.bench.meter.probe import BOX, strips_of_way
from bridgewire.bench.meter.tree_readings import TreeReadings, rewired
from bridgewire.bench.meter.view import Observation
from bridgewire.bench.meter.weighing import CauseName, CauseSum
from bridgewire.circuit.layout import WayKey

SEPARATED = 3.0
"""A measurement tells two causes apart if its predictions differ by so many standard deviations
(common practice, no source)."""
MOST_WAYS = 12
"""Circuits that are looked at."""
_CERTAIN = 1e3


@frozen
class NextMeasurement:
    """What to measure to tell the likeliest causes apart."""

    way: WayKey | None
    place: str
    """``box`` or a strip; or, where no circuit tells the causes apart, what to look at by itself:
    ``igniter`` or ``run`` (then `way` is None)."""
    first_ohm: float
    """What to expect if the first cause holds; ``inf`` for an open circuit."""
    second_ohm: float


@frozen(eq=False)
class Hypothesis:
    """One cause at its likeliest point: predicts any reading of the tree."""

    points: TreePoints
    """The one point of the tree's faults."""
    fault: WayFault
    at: int
    """Point on the grid of `fault`."""
    way: WayKey | None
    """The way that the fault is on; None for one of the whole tree."""
    bench: MeterBench
    """Of the wiring as it is with the fault."""
    at_strips: MeterBench | None = None

    def predict(self, seen: Observation) -> tuple[float, float]:
        """Mean and standard deviation of a reading, ohm."""
        model = WayModel(self.bench, seen.way, (seen,), self.at_strips)
        on_way = self.way == seen.way
        faults = [self.fault] if on_way else [WayFault("none", "", "")]
        mean, covariance = model.predict(self.points, faults)
        at = self.at if on_way else 0
        return float(mean[0, at, 0]), math.sqrt(float(covariance[0, at, 0, 0]))


def hypothesis(
    tree: TreeReadings, key: WayKey, points: TreePoints, name: CauseName, found: CauseSum
) -> Hypothesis:
    """A cause of a way's readings at its likeliest point."""
    t, f = found.where
    one = points.take(np.array([t]))
    bench, at_strips = rewired(tree.bench, tree.faults[int(points.fault[t])])
    if name[0] != "way":
        return Hypothesis(one, WayFault("none", "", ""), 0, None, bench, at_strips)
    faults = tree.ways[key]
    start = sum(g.points for g in faults[: name[1]])
    return Hypothesis(one, faults[name[1]], f - start, key, bench, at_strips)


def next_measurement(
    tree: TreeReadings, key: WayKey, first: Hypothesis, second: Hypothesis
) -> NextMeasurement:
    """The measurement not yet made that best tells two causes apart."""
    layout = tree.bench.assessment.layout
    done = {(o.way, o.place) for seen in tree.seen.values() for o in seen}
    ways = [key]
    if first.way is None or second.way is None:
        ways += [k for k in sorted(layout.by_way) if k[:2] == key[:2] and k != key]
    best: tuple[float, NextMeasurement] | None = None
    limit = max(o.limit_ohm for o in tree.seen[key])
    for way in ways[:MOST_WAYS]:
        for place in (BOX, *(s.id for s in strips_of_way(layout, way))):
            if (way, place) in done or tree.bench.missing(way, place):
                continue
            if tree.bench.probe(way, place).diode:
                continue
            seen = Observation(way, place, 1.0, limit, True)
            (a, sd_a), (b, sd_b) = first.predict(seen), second.predict(seen)
            apart = _apart(a, sd_a, b, sd_b)
            # Another circuit has to tell clearly more to be worth the walk.
            worth = apart if way == key else apart / 2.0
            if apart >= SEPARATED and (best is None or worth > best[0]):
                best = worth, NextMeasurement(way, place, _shown(a), _shown(b))
    if best is not None:
        return best[1]
    alone = "igniter" if any(h.way is not None for h in (first, second)) else "run"
    return NextMeasurement(None, alone, math.nan, math.nan)


def _shown(ohm: float) -> float:
    return math.inf if ohm > SEEN_OPEN_OHM else ohm


def _apart(a: float, sd_a: float, b: float, sd_b: float) -> float:
    open_a, open_b = not a < SEEN_OPEN_OHM, not b < SEEN_OPEN_OHM
    if open_a or open_b:
        return 0.0 if open_a and open_b else _CERTAIN
    return min(abs(a - b) / math.hypot(sd_a, sd_b), _CERTAIN)
