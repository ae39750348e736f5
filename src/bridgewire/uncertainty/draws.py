"""Run plans in many draws: values from latents, firings in order, success and margin of each cue.

Arrays over draws have them as first axis. State is carried from firing to firing in every draw:
heat, spent and closed igniters, and the voltage of a capacitor. The charge that a battery has
given is taken from the check (typical currents, an upper bound), the same in every draw.
"""

from __future__ import annotations

import math

import numpy as np
from attrs import frozen

from bridgewire.model.kit import Metal
from bridgewire.physics.conductors import resistance_factor
from bridgewire.physics.laws import FaultLog, Law
from bridgewire.physics.network import Bools, Floats
from bridgewire.physics.supply import SupplyArrays
from bridgewire.uncertainty.plan import (
    BridgePlan,
    ComponentPlan,
    CuePlan,
    FiringPlan,
    Plan,
    SupplyPlan,
    Term,
)
from bridgewire.uncertainty.solve import BridgeDraws, Fired, fire

TOLERANCE = 1e-4
"""Error of x allowed in one step, as in a check."""
_NEXT_TO_ONE = 1.0 - 1e-9
_SAME_S = 1e-9
"""Rounding of switching times, s."""


@frozen(eq=False)
class CueDraws:
    """One cue in every draw. Columns: igniter entries that it means to light."""

    plan: CuePlan
    lit: Bools
    """Lit by the end of its last pulse, or before it."""
    before: Bools
    """Lit before it switches."""
    light_s: Floats
    """From its switching, of the entry's last bridge; ``inf`` where not lit."""
    margin: Floats
    """Delivered over required current, see `bridgewire.timeline.outcomes`; above 1 exactly where
    lit; ``nan`` where lit before."""
    together: Bools | None
    """Whether its igniters light within its spread; None where none is asked."""


@frozen(eq=False)
class PlanDraws:
    """All cues of a plan in every draw."""

    cues: tuple[CueDraws, ...]
    faults: FaultLog


@frozen(eq=False)
class PlanFired:
    """All firings of a plan in every draw, before any cue is judged."""

    fired: tuple[Fired, ...]
    """In the order of the plan's firings."""
    states: tuple[BridgeDraws, ...]
    """Of each component, at the end: values of its bridges, and their state."""
    quantities: Floats
    """Values that were drawn: shape (quantities, draws)."""
    faults: FaultLog


def fire_plan(plan: Plan, latent_z: Floats, tolerance: float = TOLERANCE) -> PlanFired:
    """Fire a plan in many draws, without judging its cues.

    Parameters are those of `run_plan`.

    Returns
    -------
    PlanFired
    """
    run = _Run(plan, latent_z, tolerance)
    fired, states = run.fire_all()
    return PlanFired(tuple(fired), tuple(states), run.q, run.faults)


def bridge_values(plan: Plan, latent_z: Floats) -> tuple[BridgeDraws, ...]:
    """Values of all bridges of each component in every draw, cold and fresh; nothing is fired.

    Parameters are those of `run_plan`.
    """
    run = _Run(plan, latent_z, TOLERANCE)
    return tuple(run._state(c) for c in plan.components)


def run_plan(plan: Plan, latent_z: Floats, tolerance: float = TOLERANCE) -> PlanDraws:
    """Fire a plan in many draws.

    Parameters
    ----------
    plan : Plan
    latent_z : array, shape (latents, draws)
        Standard normal value of each of ``plan.quantities.latents``.
    tolerance : float
        See `bridgewire.physics.transient.run_transient`.

    Returns
    -------
    PlanDraws
    """
    return _Run(plan, latent_z, tolerance).run()


class _Run:
    def __init__(self, plan: Plan, latent_z: Floats, tolerance: float) -> None:
        self.plan = plan
        self.tolerance = tolerance
        self.draws = latent_z.shape[1]
        self.q = plan.quantities.values(latent_z)
        self.ambient_C = self.q[plan.site_ambient_C]
        self.heat: dict[Metal | None, Floats | float] = {None: 1.0}
        self.faults = FaultLog()

    def run(self) -> PlanDraws:
        fired, _ = self.fire_all()
        return PlanDraws(tuple(self._cue(cue, fired) for cue in self.plan.cues), self.faults)

    def fire_all(self) -> tuple[list[Fired], list[BridgeDraws]]:
        """All firings in order of time, state carried from one to the next."""
        plan = self.plan
        states = [self._state(c) for c in plan.components]
        nodes = [self._sum(c.node_terms, c.parent.size) for c in plan.components]
        strings = [self._sum(c.string_terms, c.string_node.size) for c in plan.components]
        clock = [0.0] * len(plan.components)
        fired: list[Fired] = []
        nothing = np.empty((0, self.draws))
        for firing in plan.firings:
            c = firing.component
            state = states[c]
            gap = max(firing.start_s - clock[c], 0.0)
            if fired and gap > 0.0:
                state.x *= np.exp(-gap / state.tau_s)
            clock[c] = firing.end_s
            branches = nothing
            if firing.topology is not None:
                branches = self._sum(firing.branch_terms, firing.topology.branch_ends.shape[0])
            before = None if firing.after < 0 else plan.firings[firing.after]
            left = None if firing.after < 0 else fired[firing.after].end_emf_V
            supply, drop = self._supply(firing, before, left)
            fired.append(
                fire(
                    firing,
                    plan.components[c],
                    nodes[c],
                    strings[c],
                    branches,
                    drop,
                    supply,
                    state,
                    self.tolerance,
                    self.faults,
                )
            )
        return fired, states

    # ------------------------------------------------------------------ values

    def _sum(self, terms: tuple[Term, ...], count: int) -> Floats:
        out = np.zeros((count, self.draws))
        for term in terms:
            value = self.q[term.factors[0]] * term.ohm
            for factor in term.factors[1:]:
                value = value * self.q[factor]
            if term.metal is not None:
                value = value * self._warm(term.metal)
            out[term.target] += value
        return out

    def _warm(self, metal: Metal) -> Floats | float:
        if metal not in self.heat:
            self.heat[metal] = resistance_factor(self.ambient_C, metal)
        return self.heat[metal]

    def _state(self, component: ComponentPlan) -> BridgeDraws:
        shape = (self.draws, len(component.bridges))
        values = {
            name: np.empty(shape)
            for name in ("cold", "rise", "threshold", "tau", "burn_open", "after")
        }
        for i, bridge in enumerate(component.bridges):
            threshold, tau = self._heating(bridge)
            values["threshold"][:, i], values["tau"][:, i] = threshold, tau
            values["cold"][:, i] = self.q[bridge.cold_ohm]
            values["burn_open"][:, i] = self.q[bridge.burn_open]
            values["after"][:, i] = np.inf if bridge.after_ohm < 0 else self.q[bridge.after_ohm]
            values["rise"][:, i] = bridge.alpha_per_K * self._lit_rise(bridge)
        return BridgeDraws(
            values["cold"],
            values["rise"],
            values["threshold"],
            values["tau"],
            values["burn_open"],
            values["after"],
            np.zeros(shape),
            np.zeros(shape, dtype=bool),
            np.zeros(shape, dtype=bool),
        )

    def _lit_rise(self, bridge: BridgePlan) -> Floats | float:
        """Temperature rise that lights; 0 where the class has no lighting temperature."""
        if bridge.lit_C < 0:
            return 0.0
        rise: Floats = np.maximum(self.q[bridge.lit_C] - self.ambient_C, 1.0)
        return rise

    def _heating(self, bridge: BridgePlan) -> tuple[Floats, Floats]:
        """Threshold current and time constant."""
        if bridge.basis == "thermal":
            loss = self.q[bridge.loss_W_per_K]
            threshold = np.sqrt(loss * self._lit_rise(bridge) / self.q[bridge.cold_ohm])
            return threshold, self.q[bridge.heat_J_per_K] / loss
        threshold = self.q[bridge.threshold_A]
        if bridge.basis == "threshold":
            if bridge.lit_C >= 0:
                at_20 = np.maximum(self.q[bridge.lit_C] - 20.0, 1.0)
                threshold = threshold * np.sqrt(self._lit_rise(bridge) / at_20)
            return threshold, self.q[bridge.tau_s]
        assert bridge.sheet is not None
        all_fire, time, least, typical = bridge.sheet
        u = np.minimum((threshold / all_fire) ** 2, _NEXT_TO_ONE)
        most = np.minimum(bridge.sheet_top, all_fire**2 * time * u / -np.log1p(-u))
        middle = np.minimum(typical, most)
        low = np.minimum(least, middle)
        place = self.q[bridge.impulse]
        ratio = np.where(place > 0.0, most / middle, middle / low)
        return threshold, middle * ratio**place / threshold**2

    def _supply(
        self, firing: FiringPlan, before: FiringPlan | None, left_V: Floats | None
    ) -> tuple[SupplyArrays, Floats]:
        """Supply at the start of a firing, and the diodes' drop."""
        s = firing.supply

        def q(place: int, absent: float) -> Floats:
            return np.full(self.draws, absent) if place < 0 else self.q[place]

        full = q(s.emf_V, 0.0)
        emf = np.maximum(full - firing.fall_V, 0.0)
        if before is not None and left_V is not None:
            gap = firing.start_s - before.end_s
            recharge = q(s.recharge_s, 0.0)
            with np.errstate(divide="ignore", invalid="ignore"):
                rising = np.minimum(left_V + gap * full / recharge, full)
            emf = np.where(gap >= recharge, full, rising)
        return (
            SupplyArrays(
                emf_V=emf,
                internal_ohm=self._internal(s),
                limit_A=q(s.limit_A, np.inf),
                short_circuit_A=q(s.short_circuit_A, np.inf),
                nominal_V=np.maximum(full, 1e-9),
                capacitance_F=q(s.capacitance_F, np.inf),
                laws=self._supply_laws(s),
                faults=self.faults,
            ),
            q(s.drop_V, 0.0),
        )

    def _internal(self, s: SupplyPlan) -> Floats:
        ohm: Floats = self.q[s.internal_ohm]
        if s.cold:
            at, factor = zip(*s.cold, strict=True)
            ohm = ohm * np.interp(self.q[s.ambient_C], at, factor)
        return ohm

    def _supply_laws(self, s: SupplyPlan) -> tuple[Law, ...]:
        if s.model is None:
            return ()
        given = dict(s.parameters)
        parameters = {k: np.full(self.draws, float(given[k])) for k in s.model.parameters}
        return (Law(s.model, np.arange(self.draws), parameters),)

    # ------------------------------------------------------------------ cues

    def _cue(self, cue: CuePlan, fired: list[Fired]) -> CueDraws:
        shape = (self.draws, len(cue.igniters))
        lit = np.ones(shape, dtype=bool)
        before = np.ones(shape, dtype=bool)
        light_s = np.zeros(shape)
        margin = np.full(shape, np.inf)
        for i, bridges in enumerate(cue.bridges):
            for bridge in bridges:
                own = self._bridge(cue, bridge, fired)
                lit[:, i] &= own[0]
                before[:, i] &= own[1]
                light_s[:, i] = np.maximum(light_s[:, i], own[2])
                margin[:, i] = np.fmin(margin[:, i], own[3])
        margin[np.isinf(margin)] = math.nan
        return CueDraws(
            cue, lit, before, light_s, margin, self._together(cue, lit, before, light_s)
        )

    def _bridge(
        self, cue: CuePlan, bridge: int, fired: list[Fired]
    ) -> tuple[Bools, Bools, Floats, Floats]:
        """Whether and when a bridge lights in a cue, whether it was lit before, its margin."""
        light = np.full(self.draws, np.inf)
        best = np.zeros(self.draws)
        before = np.zeros(self.draws, dtype=bool)
        for n, pulse in enumerate(cue.pulses):
            f, plan = fired[pulse.firing], self.plan.firings[pulse.firing]
            column = int(np.flatnonzero(plan.bridges == bridge)[0])
            at = f.light_s[:, column]
            spent = f.lit_before[:, column] & np.isinf(light)
            with np.errstate(invalid="ignore"):
                early = at < pulse.start_s - _SAME_S
                now = at <= pulse.end_s + _SAME_S
            if n == 0:
                before = spent | early
                spent = before
            now = now & ~before
            left = np.maximum(pulse.end_s - np.where(now, at, pulse.end_s), 0.0)
            u = np.where(now, f.light_u[:, column], 1.0)
            x = np.maximum(u + (1.0 - u) * np.exp(-left / f.tau_s[:, column]), 1.0)
            # Lit only after its own pulse, by somebody else's: just short of enough.
            dark = np.minimum(f.peak_x[:, column], 1.0 - 1e-12)
            square = np.where(now, x, np.maximum(dark, 0.0))
            heated = ~f.lit_before[:, column]
            best = np.where(heated, np.maximum(best, np.sqrt(square)), best)
            since = plan.start_s - cue.switch_s
            light = np.where(now & np.isinf(light), at + since, light)
        light = np.where(before, 0.0, light)
        return np.isfinite(light), before, light, np.where(before, np.nan, best)

    @staticmethod
    def _together(cue: CuePlan, lit: Bools, before: Bools, light_s: Floats) -> Bools | None:
        if cue.spread_s is None:
            return None
        fresh = ~before
        first = np.where(fresh, light_s, np.inf).min(axis=1)
        last = np.where(fresh, light_s, -np.inf).max(axis=1)
        with np.errstate(invalid="ignore"):
            close = (last - first <= cue.spread_s) | (fresh.sum(axis=1) < 2)
        done: Bools = close & lit.all(axis=1)
        return done
