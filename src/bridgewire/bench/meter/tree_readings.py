"""The readings of one wiring tree, and every fault that may explain them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import define, field

from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.faults import TreeFault, WayFault
from bridgewire.bench.meter.likelihood import WayModel
from bridgewire.bench.meter.points import TreePoints
from bridgewire.bench.meter.probe import BOX
from bridgewire.bench.meter.swapped_parts import swapped
from bridgewire.bench.meter.tree_faults import tree_faults
from bridgewire.bench.meter.view import Observation
from bridgewire.bench.meter.way_faults import way_faults
from bridgewire.circuit.layout import OutputKey, WayKey
from bridgewire.physics.network import Floats


@define(eq=False)
class TreeReadings:
    """The readings of one wiring tree and every fault that may explain them."""

    bench: MeterBench
    output: OutputKey
    seen: dict[WayKey, tuple[Observation, ...]]
    faults: list[TreeFault] = field(init=False, factory=list)
    """Of the whole tree."""
    models: dict[WayKey, WayModel] = field(init=False, factory=dict)
    ways: dict[WayKey, tuple[WayFault, ...]] = field(init=False, factory=dict)
    """Faults of each way."""
    others: dict[int, dict[WayKey, WayModel]] = field(init=False, factory=dict)
    """For swapped parts, by place in `faults`: every way on its other wiring."""

    def __attrs_post_init__(self) -> None:
        for key, seen in self.seen.items():
            self.models[key] = WayModel(self.bench, key, seen)
            self.ways[key] = way_faults(self.bench, key)
        at_box = any(o.place == BOX for seen in self.seen.values() for o in seen)
        passed = {
            view.probe.nodes[i].part
            for model in self.models.values()
            for view in model.views
            for i in np.flatnonzero(view.cable > 0.0).tolist()
        }
        for fault in tree_faults(self.bench, self.output):
            if fault.swap is None:
                # A fault of runs that no reading passes cannot be why a reading is off.
                touched = {*fault.cable_scale, *fault.node_add}
                if not touched or touched & passed:
                    self.faults.append(fault)
                continue
            models = self._swapped(fault) if at_box else None
            if models is not None:
                self.others[len(self.faults)] = models
                self.faults.append(fault)

    def _swapped(self, fault: TreeFault) -> dict[WayKey, WayModel] | None:
        bench, at_strips = rewired(self.bench, fault)
        models: dict[WayKey, WayModel] = {}
        for key, seen in self.seen.items():
            if bench.missing(key, BOX) or any(bench.missing(key, o.place) for o in seen):
                return None
            models[key] = WayModel(bench, key, seen, at_strips)
        return models

    def log_likelihood(self, key: WayKey, tree: TreePoints, faults: Sequence[WayFault]) -> Floats:
        """Of one way's readings; swapped trees have their own circuits."""
        out = np.empty((tree.fault.size, sum(f.points for f in faults)))
        moved = np.isin(tree.fault, list(self.others))
        plain = np.flatnonzero(~moved)
        if plain.size:
            out[plain] = self.models[key].log_likelihood(tree.take(plain), faults)
        for k in np.unique(tree.fault[moved]).tolist():
            rows = np.flatnonzero(tree.fault == k)
            none = [f for f in faults if f.kind == "none"]
            found = self.others[k][key].log_likelihood(tree.take(rows), none)
            out[rows] = -np.inf
            out[rows[:, None], np.array(_places(faults, "none"))] = found
        return out


def rewired(bench: MeterBench, fault: TreeFault) -> tuple[MeterBench, MeterBench | None]:
    """The show with the fault's parts in each other's places, and what readings at strips are of.

    What hangs on a strip goes with it, so where the two are of other outputs readings at strips
    stay as they were.
    """
    if fault.swap is None:
        return bench, None
    layout = bench.assessment.layout
    there = bench.rewired(swapped(layout, *fault.swap, keep_runs=fault.keep_runs))
    a, b = (layout.parts[p].output for p in fault.swap)
    return there, None if a == b else bench


def _places(faults: Sequence[WayFault], kind: str) -> list[int]:
    out: list[int] = []
    start = 0
    for f in faults:
        if f.kind == kind:
            out += range(start, start + f.points)
        start += f.points
    return out
