"""What each trial of a bench record would do, for many values of what is unknown at once.

The trial's circuits, firings and scatter are those of `bridgewire.uncertainty`: a trial on the
bench and a cue in a show go through the same code. `bridgewire.bench.compile_record` makes the
models.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from attrs import field, frozen

from bridgewire.bench.latents import SCATTER_LOG_SD, Role, Unknown
from bridgewire.bench.wiring import LoadedRecord
from bridgewire.model.bench import BenchRecord
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.uncertainty.draws import PlanFired, fire_plan
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.solve import BridgeDraws, Fired

TOLERANCE = 1e-3
"""Error of x allowed in one step; event times are then good to 2e-5 of themselves."""
LEAST_LEVEL = -3.0
MOST_LEVEL = 3.0
"""Levels are kept between these: current 20 times too little, and 20 times what is needed."""


@frozen
class ShotPlan:
    """One shot: its firings, and the columns of the igniters in them."""

    name: str
    firings: tuple[int, ...]
    start_s: tuple[float, ...]
    """Start of each firing, from the start of the shot."""


@frozen(eq=False)
class TrialOutcome:
    """A trial in every draw: arrays of shape (draws, shots, igniters) unless said otherwise.

    Attributes
    ----------
    level : array
        Logarithm of delivered over required current in the shot: above 0 exactly where the
        igniter lights. `MOST_LEVEL` where it was lit in a shot before, `LEAST_LEVEL` where its way
        is not fired.
    light_s : array
        From the start of the shot; 0 where it was lit before, the end of the last pulse where it
        stays dark.
    open_level : array
        Logarithm of the square root of highest temperature over that at which the bridge parts,
        over all shots so far: above 0 exactly where it has parted.
    ohm : array, shape (draws, igniters)
        Cold bridge and leads.
    """

    level: Floats
    light_s: Floats
    open_level: Floats
    ohm: Floats

    @property
    def lit(self) -> Bools:
        """Whether each igniter has been lit by the end of each shot."""
        out: Bools = self.level > 0.0
        return out

    @property
    def parted(self) -> Bools:
        """Whether each bridge has parted by the end of each shot."""
        out: Bools = self.open_level > 0.0
        return out


@frozen(eq=False)
class TrialModel:
    """One trial, ready to be run."""

    id: str
    igniters: tuple[str, ...]
    """Ids, in the order of the last axis of outcomes."""
    classes: tuple[str, ...]
    """Full id of the class of each."""
    plan: Plan
    columns: Ints
    """The unknown of each of the plan's latents."""
    spread: Ints
    """The unknown that scales each of them; -1 for none."""
    shots: tuple[ShotPlan, ...]
    bridge_of: tuple[tuple[int, int], ...]
    """Component and bridge of each igniter; (-1, -1) where no shot is on its way."""
    leads: tuple[tuple[int, float], ...]
    """Quantity and factor of each igniter's leads; quantity -1 where it has none."""

    @property
    def fired(self) -> Bools:
        """Whether any shot is on the way of each igniter."""
        return np.array([component >= 0 for component, _ in self.bridge_of], dtype=bool)

    def latent_z(self, z: Floats) -> Floats:
        """Values of the plan's latents: shape (latents, draws), from all unknowns (draws, all)."""
        out = np.ascontiguousarray(z[:, self.columns].T)
        scaled = np.flatnonzero(self.spread >= 0)
        if scaled.size:
            places, back = np.unique(self.spread[scaled], return_inverse=True)
            factor = np.exp(SCATTER_LOG_SD * z[:, places].T)
            out[scaled] *= factor[back]
        return out

    def run(self, z: Floats, tolerance: float = TOLERANCE) -> TrialOutcome:
        """Fire the trial in every draw.

        Parameters
        ----------
        z : array, shape (draws, unknowns)
            Values of all unknowns of the record.
        tolerance : float

        Returns
        -------
        TrialOutcome
        """
        done = fire_plan(self.plan, self.latent_z(z), tolerance)
        return self._outcome(done, z.shape[0])

    def _outcome(self, done: PlanFired, draws: int) -> TrialOutcome:
        count = len(self.igniters)
        shape = (draws, len(self.shots), count)
        level = np.full(shape, LEAST_LEVEL)
        light = np.zeros(shape)
        opened = np.full(shape, LEAST_LEVEL)
        so_far = np.full((draws, count), LEAST_LEVEL)
        ohm = np.full((draws, count), math.nan)
        for i, (component, bridge) in enumerate(self.bridge_of):
            if component < 0:
                continue
            place, factor = self.leads[i]
            lead = done.quantities[place] * factor if place >= 0 else 0.0
            ohm[:, i] = done.states[component].cold_ohm[:, bridge] + lead
        for s, shot in enumerate(self.shots):
            for i, (component, bridge) in enumerate(self.bridge_of):
                one = self._one(shot, component, bridge, done, draws)
                if one is not None:
                    level[:, s, i], light[:, s, i] = one[0], one[1]
                    so_far[:, i] = np.maximum(so_far[:, i], one[2])
            opened[:, s] = so_far
        return TrialOutcome(level, light, opened, ohm)

    def _one(
        self, shot: ShotPlan, component: int, bridge: int, done: PlanFired, draws: int
    ) -> tuple[Floats, Floats, Floats] | None:
        """Level, light time and opening level of one igniter in one shot; None where not fired."""
        before: Bools | None = None
        best, part = np.zeros(draws), np.zeros(draws)
        light = np.full(draws, np.nan)
        end = 0.0
        for n, start in zip(shot.firings, shot.start_s, strict=True):
            plan = self.plan.firings[n]
            if plan.component != component or bridge not in plan.bridges:
                continue
            column = int(np.flatnonzero(plan.bridges == bridge)[0])
            f, length = done.fired[n], plan.end_s - plan.start_s
            if before is None:
                before = f.lit_before[:, column]
            at = f.light_s[:, column]
            best = np.maximum(best, _highest_x(f, column, length))
            light = np.where(np.isnan(light) & ~np.isnan(at), at + start, light)
            top = _highest_over_parting(f, column, length, done.states[component], bridge)
            part = np.maximum(part, top)
            end = start + length
        if before is None:
            return None
        with np.errstate(divide="ignore"):
            level = np.clip(0.5 * np.log(best), LEAST_LEVEL, MOST_LEVEL)
            part = np.clip(0.5 * np.log(part), LEAST_LEVEL, MOST_LEVEL)
        level = np.where(before, MOST_LEVEL, level)
        light = np.where(before, 0.0, np.where(np.isnan(light), end, light))
        return level, light, part


def _highest_x(f: Fired, column: int, length_s: float) -> Floats:
    """Highest rise of a bridge in a firing over that at which it lights.

    At least 1 exactly where it lights: what its steady rise would bring it to by the end of the
    firing, had it not lit. So a level says how much more current than needed there was.
    """
    at = f.light_s[:, column]
    lit = ~np.isnan(at)
    u = np.where(lit, f.light_u[:, column], 1.0)
    left = np.where(lit, np.maximum(length_s - at, 0.0), 0.0)
    x = np.maximum(u + (1.0 - u) * np.exp(-left / f.tau_s[:, column]), 1.0)
    dark = np.clip(f.peak_x[:, column], 0.0, 1.0 - 1e-12)
    out: Floats = np.where(lit, x, dark)
    return out


def _highest_over_parting(
    f: Fired, column: int, length_s: float, state: BridgeDraws, bridge: int
) -> Floats:
    """Highest rise of a bridge in a firing over that at which it parts; 1 or more where it does."""
    b = state.burn_open[:, bridge]
    gone = f.part_s[:, column]
    parts = ~np.isnan(gone)
    ratio = f.peak_A[:, column] / state.threshold_A[:, bridge]
    high = np.maximum(ratio * ratio * (1.0 + state.rise_per_x[:, bridge] * b), b)
    rest = np.where(parts, np.maximum(length_s - gone, 0.0), 0.0)
    top = high + (b - high) * np.exp(-rest / f.tau_s[:, column])
    closed = np.minimum(f.peak_x[:, column], b * (1.0 - 1e-12))
    out: Floats = np.where(parts, np.maximum(top, b), closed) / b
    return out


@frozen(eq=False)
class BenchModel:
    """All trials of a record over one list of unknowns."""

    record: BenchRecord
    unknowns: tuple[Unknown, ...]
    trials: tuple[TrialModel, ...]
    sigmas: float
    """Standard deviations between a band's typical value and its ends."""
    loaded: LoadedRecord = field(repr=False)
    exact: tuple[str, ...] = ()
    """Groups of values without a stated tolerance: taken as exact."""

    @property
    def size(self) -> int:
        """How many unknowns there are."""
        return len(self.unknowns)

    def places(self, *roles: Role) -> Ints:
        """Numbers of the unknowns of some roles."""
        return np.array([n for n, u in enumerate(self.unknowns) if u.role in roles], dtype=np.intp)

    def run(self, z: Floats) -> list[TrialOutcome]:
        """Fire all trials in every draw: `z` of shape (draws, unknowns)."""
        return [t.run(z) for t in self.trials]


def unknown_numbers(model: BenchModel) -> Mapping[str, int]:
    """Number of each unknown by its key."""
    return {u.key: n for n, u in enumerate(model.unknowns)}
