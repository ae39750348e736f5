"""Dense sampling of tolerance boxes, with draws of its own: nothing here is the bound's code."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from attrs import define
from numpy.typing import NDArray

from bridgewire.circuit.supplies import diode_drop
from bridgewire.circuit.ways import AfterOhm
from bridgewire.model.band import Band
from bridgewire.physics.igniter_data import Heating
from bridgewire.timeline.corners import Component, Values
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.results import FiringResult
from bridgewire.uncertainty.box import Happened, Points, run_points

Floats = NDArray[np.float64]


@define(eq=False)
class Extremes:
    """Latest and earliest light of one igniter under one cue over all draws."""

    latest: float
    earliest: float


class Sampler:
    """Draws of a component: uniform, with many on the ends of values."""

    def __init__(self, assessment: Assessment, results: list[FiringResult], seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.assessment = assessment
        self.results = results

    def at(self, rows: int, columns: int) -> Floats:
        """Where between low and high: a third of the rows at vertices, the rest mixed."""
        mixed = np.clip(self.rng.uniform(-0.5, 1.5, (rows, columns)), 0.0, 1.0)
        vertex = np.round(self.rng.random((rows, columns)))
        return np.where(np.arange(rows)[:, None] < rows // 3, vertex, mixed)

    def bands(self, bands: Sequence[Band | AfterOhm], rows: int) -> Floats:
        low, high = np.array([(b.min, b.max) for b in bands]).T
        where = self.at(rows, len(bands))
        with np.errstate(invalid="ignore"):
            return np.asarray(np.where(np.isinf(low), low, low + where * (high - low)))

    def table(self, ohm: Floats, rows: int) -> Floats:
        return np.asarray(ohm[:, 0] + self.at(rows, ohm.shape[0]) * (ohm[:, 2] - ohm[:, 0]))

    def one(self, band: Band | None, rows: int, absent: float) -> Floats:
        return np.full(rows, absent) if band is None else self.bands([band], rows)[:, 0]

    def heating(self, heating: Heating, rows: int) -> tuple[Floats, Floats]:
        """I0 and tau. Thermal data vary in capacity, loss and rise; see `Heating`."""
        (slow_A, slow_s), (fast_A, fast_s) = heating.slow, heating.fast
        where = self.at(rows, 3)
        if heating.basis == "threshold":
            return (
                fast_A + where[:, 0] * (slow_A - fast_A),
                fast_s + where[:, 1] * (slow_s - fast_s),
            )
        if heating.basis == "thermal":
            most_loss = 1.0
            most_capacity = slow_s * most_loss
            least_loss = most_capacity / heating.tau_s.max
            least_capacity = fast_s * least_loss
            most_level, least_level = slow_A**2 / most_loss, fast_A**2 / least_loss
            loss = least_loss + where[:, 0] * (most_loss - least_loss)
            capacity = least_capacity + where[:, 1] * (most_capacity - least_capacity)
            level = least_level + where[:, 2] * (most_level - least_level)
            return np.sqrt(loss * level), capacity / loss
        low, high = fast_A**2 * fast_s, slow_A**2 * slow_s
        impulse = low + where[:, 0] * (high - low)
        current = fast_A + where[:, 1] * (slow_A - fast_A)
        return current, impulse / current**2

    def points(self, rows: int) -> Points:
        """Draw points of the box."""
        c: Component = self.results[0].component
        box = self.results[0].firing.box
        supply = self.assessment.simulation.supplies[box][0]
        assert supply is not None
        drop = diode_drop(self.assessment.layout.boxes[box][1])
        pairs = [self.heating(d.heating, rows) for d in c.data]
        where = self.at(rows, 1)[:, 0]
        full = supply.emf_V
        values = Values(
            node_ohm=self.table(np.concatenate([w.node_ohm for w in c.ways]), rows),
            string_ohm=self.table(np.concatenate([w.string_ohm for w in c.ways]), rows),
            bridge_ohm=self.bands([d.bridge_ohm for d in c.data], rows),
            threshold_A=np.stack([p[0] for p in pairs], axis=1),
            tau_s=np.stack([p[1] for p in pairs], axis=1),
            burn_open=self.bands([d.burn_open for d in c.data], rows),
            after_ohm=self.bands([d.after_ohm for d in c.data], rows),
            supply=np.ones(rows, dtype=np.intp),
        )
        return Points(
            values=values,
            emf_V=full.min + where * (full.max - full.min),
            emf_share=where,
            internal_ohm=self.one(supply.internal_ohm, rows, 0.0),
            limit_A=self.one(supply.limit_A, rows, np.inf),
            short_circuit_A=self._short(rows),
            capacitance_F=self.one(supply.capacitance_F, rows, np.inf),
            recharge_s=self.one(supply.recharge_s, rows, 1e-9),
            drop_V=self.one(drop, rows, 0.0),
            mesh_ohm={
                n: self.table(r.mesh.branch_ohm, rows)
                for n, r in enumerate(self.results)
                if r.mesh is not None
            },
        )

    def _short(self, rows: int) -> Floats:
        supply = self.assessment.simulation.supplies[self.results[0].firing.box][0]
        assert supply is not None
        return self.one(supply.short_circuit_A, rows, np.inf)


def constant(points: Points, assessment: Assessment, box: str) -> None:
    """With a constant limit the current into a short circuit is the limit itself."""
    supply = assessment.simulation.supplies[box][0]
    assert supply is not None
    if supply.limit_A is not None and supply.limit_A == supply.short_circuit_A:
        points.short_circuit_A = points.limit_A.copy()


def extremes(assessment: Assessment, rows: int, seed: int) -> dict[tuple[int, int], Extremes]:
    """Latest and earliest light time after switching by cue and igniter, over random draws."""
    by_component: dict[int, list[FiringResult]] = defaultdict(list)
    for result in assessment.simulation.results:
        by_component[id(result.component)].append(result)
    found: dict[tuple[int, int], Extremes] = {}
    for results in by_component.values():
        points = Sampler(assessment, results, seed).points(rows)
        constant(points, assessment, results[0].firing.box)
        happened = run_points(
            assessment.layout, assessment.simulation.supplies, results, points, 1e-5
        )
        places = {id(r): n for n, r in enumerate(results)}
        for cue in assessment.cues:
            mine = [places[id(r)] for r in cue.results if id(r) in places]
            if mine:
                for igniter in cue.igniters:
                    found[cue.cue, igniter.igniter] = _extremes(
                        results, happened, mine, igniter.igniter, cue.switch_s
                    )
    return found


def _extremes(
    results: list[FiringResult],
    happened: list[Happened],
    places: list[int],
    igniter: int,
    switch_s: float,
) -> Extremes:
    latest, earliest = -math.inf, math.inf
    component = results[0].component
    for bridge in np.flatnonzero(component.bridge_igniter == igniter).tolist():
        before = happened[places[0]].lit_before[:, results[places[0]].columns[bridge]]
        time = np.full(before.size, np.inf)
        for place in places:
            light = happened[place].light_s[:, results[place].columns[bridge]]
            at = results[place].firing.start_s + light - switch_s
            time = np.where(np.isinf(time) & ~np.isnan(at), at, time)
        open_ = ~before & (time >= 0.0)
        if open_.any():
            latest = max(latest, float(time[open_].max()))
            earliest = min(earliest, float(time[open_].min()))
    return Extremes(latest, earliest)
