"""Bridges heated by the currents of a network, stepped in time and split at events.

Each bridge obeys ``dx/dt = (u - x) / tau`` with ``u = (I / I0)^2 (1 + a x)``, where x is its
temperature rise over the rise that lights it, I0 its threshold current and ``a = alpha
theta_lit``. It is lit when x first reaches 1 and parts when x reaches its burn-open level.

A step takes the exact exponential response to a u that is quadratic in time, through its values
at the start, the middle and the end of the step; the slope of u at the start gives the x at which
the middle is solved. The quadratic term is the error estimate that sets each circuit's own step.
A step in which a bridge parts is taken again so that it ends there.
"""

from __future__ import annotations

import numpy as np

from bridgewire.physics._active import Active, Step
from bridgewire.physics.bridges import Bridges
from bridgewire.physics.network import Bools, Floats, Network, Solution
from bridgewire.physics.outcome import Outcome, Trace
from bridgewire.physics.step_response import Weights, crossing, summit

EVENT_TOLERANCE = 1e-7
"""How near (in units of x) to its burn-open level a bridge parts."""
LOOK_AHEAD = 0.02
"""Part of the first step after an event over which the change of u is estimated."""


class _Run:
    """One integration: where each circuit under way is in time, and its next step."""

    def __init__(
        self,
        network: Network,
        bridges: Bridges,
        boundaries_s: Floats,
        tolerance: float,
        watch: Bools | None,
        trace: Trace | None,
    ) -> None:
        self.tolerance = tolerance
        self.trace = trace
        self.boundaries = boundaries_s
        self.t = boundaries_s[:, 0].copy()
        self.segment = np.zeros(network.emf_V.size, dtype=np.intp)
        self.emf = network.emf_V.copy()
        self.active = Active(network, bridges, watch)
        self._start(self._solve(self.active.bridges.x, self.emf))

    def _solve(self, x: Floats, emf: Floats) -> Solution:
        string_ohm = np.add.reduceat(self.active.bridges.resistance(x), self.active.string_heads)
        return self.active.net.solve(string_ohm, self.segment, emf)

    def _start(self, solution: Solution) -> None:
        """Take over a solution at the present time, after an event or a switching."""
        b = self.active.bridges
        self.now = solution
        self.u0 = b.heating(solution.string_A, b.x)
        self.active.note(solution)
        reach = np.maximum(b.burn_open, 1.0)
        reach = np.where(np.isfinite(reach), reach, 1.0)
        rate = np.maximum.reduceat(
            np.abs(self.u0 - b.x) / (b.tau_s * reach), self.active.circuit_heads
        )
        with np.errstate(divide="ignore"):
            guess = 0.2 / rate
        if self.active.capacitor:
            with np.errstate(divide="ignore", invalid="ignore"):
                fall = 0.2 * self.active.net.capacitance_F * self.emf / solution.supply_A
            guess = np.fmin(guess, np.where(solution.supply_A > 0, fall, np.inf))
            # By the end of its pulse a capacitor has nothing left to show.
            self.active.watch_dark(np.isfinite(self.active.net.capacitance_F), solution)
        self.dt = guess
        self._look_ahead()

    def _look_ahead(self) -> None:
        """Rate of change of u, 1/s, from a second solution a little ahead in time."""
        b = self.active.bridges
        ahead = np.where(np.isfinite(self.dt), LOOK_AHEAD * self.dt, 0.0)
        over = ahead[self.active.circuit_of_bridge]
        x = b.x + (self.u0 - b.x) * over / b.tau_s
        solution = self._solve(x, self._fallen(ahead, self.now.supply_A, self.emf))
        rise = b.heating(solution.string_A, x) - self.u0
        self.slope = np.where(over > 0, rise / np.maximum(over, 1e-300), 0.0)

    def run(self) -> Outcome:
        """Step until no circuit is left."""
        while self.active.circuit_ids.size:
            self._step()
            self.active.out.steps += 1
        return self.active.out

    def _step(self) -> None:
        """Try a step of every circuit under way, and take it where it is good enough."""
        b, cb = self.active.bridges, self.active.circuit_of_bridge
        end = self.boundaries[np.arange(self.t.size), self.segment + 1]
        remaining = end - self.t
        dt = np.minimum(self.dt, remaining)
        z = dt[cb] / b.tau_s
        half = Weights(0.5 * z)
        x_mid = b.x + (self.u0 - b.x) * half.m0 + 0.5 * self.slope * dt[cb] * half.m1
        emf_mid = self._fallen(0.5 * dt, self.now.supply_A, self.emf)
        middle = self._solve(x_mid, emf_mid)
        emf_end = self._fallen(dt, middle.supply_A, emf_mid)
        um = b.heating(middle.string_A, x_mid)
        w = Weights(z)
        x_end = b.x * (1.0 - w.m0) + self.u0 * w.m0 + 2.0 * (um - self.u0) * w.m1
        last = self._solve(x_end, emf_end)
        u1 = b.heating(last.string_A, x_end)
        second = u1 - 2.0 * um + self.u0
        correction = second * (2.0 * w.m2 - w.m1)
        x_end = x_end + correction
        # Beyond its lighting level a bridge that stays closed only needs relative accuracy.
        error = np.maximum.reduceat(
            np.abs(correction) / np.maximum(b.x, 1.0), self.active.circuit_heads
        )
        used_C = dt / 6.0 * (self.now.supply_A + 4.0 * middle.supply_A + last.supply_A)
        if self.active.capacitor:
            missing = np.abs(self.emf - used_C / self.active.net.capacitance_F - emf_end)
            error = np.maximum(error, missing / np.maximum(self.active.net.emf_V, 1e-30))
        tiny = dt <= 1e-12 * np.maximum(end, 1e-3)
        refuse = (error > self.tolerance) & ~tiny
        # A step that runs past a burn-open level is taken again to end on it.
        top_s, top_x = summit(b.x, self.u0, um, second, z, x_end, u1)
        over = ~b.parted & (top_x > b.burn_open + EVENT_TOLERANCE) & ~(refuse | tiny)[cb]
        next_dt = dt * np.clip(0.9 * np.cbrt(self.tolerance / np.maximum(error, 1e-30)), 0.2, 5.0)
        shortened = np.zeros(dt.size, dtype=bool)
        if over.any():
            which = np.flatnonzero(over)
            s = crossing(
                b.burn_open[which],
                b.x[which],
                self.u0[which],
                um[which],
                second[which],
                z[which],
                top_s[which],
            )
            first = np.ones(dt.size)
            np.minimum.at(first, cb[which], s)
            shortened[cb[which]] = True
            next_dt = np.where(shortened, dt * first, next_dt)
        accept = ~refuse & ~shortened
        if accept.any():
            trial = Step(
                start_s=self.t,
                dt=dt,
                z=z,
                u0=self.u0,
                um=um,
                second=second,
                x_end=x_end,
                top_s=top_s,
                top_x=top_x,
                now=self.now,
                middle=middle,
                last=last,
                emf_end=emf_end,
                used_C=used_C,
            )
            self._advance(accept, remaining, trial)
        # A step cut short by a boundary or an event says little about the next one.
        next_dt = np.where(accept & (dt < self.dt), np.maximum(self.dt, next_dt), next_dt)
        slope = (2.0 * (um - self.u0) + 3.0 * second) / np.maximum(dt, 1e-300)[cb]
        self._finish(accept, dt, next_dt, remaining, u1, slope, last)

    def _fallen(self, over: Floats, current_A: Floats, at_V: Floats) -> Floats:
        """Source voltage some time on; a capacitor gives up charge.

        The current is taken as proportional to the source voltage, with the ratio found at
        `at_V`, which is exact for fixed resistances.
        """
        if not self.active.capacitor:
            return self.emf
        with np.errstate(divide="ignore", invalid="ignore"):
            rate = np.where(at_V > 0, current_A / at_V / self.active.net.capacitance_F, 0.0)
        return self.emf * np.exp(-rate * over)

    def _advance(self, accept: Bools, remaining: Floats, trial: Step) -> None:
        """Take the step in the circuits that accept it."""
        b, cb, out = self.active.bridges, self.active.circuit_of_bridge, self.active.out
        dt, moved = trial.dt, accept[cb]
        # A bridge that parts at its lighting level, within the event tolerance, is lit as well.
        level = np.where(b.burn_open <= 1.0, 1.0 - EVENT_TOLERANCE, 1.0)
        newly = moved & ~b.lit & ~b.parted & (trial.top_x >= level)
        if newly.any():
            self.active.light(np.flatnonzero(newly), trial)
        self.active.note_step(accept, trial.middle)
        self.active.note_step(accept, trial.last)
        if self.active.capacitor:
            self.emf = np.where(accept, trial.emf_end, self.emf)
        out.charge_C[self.active.circuit_ids] += np.where(accept, trial.used_C, 0.0)
        b.x = np.where(moved, trial.x_end, b.x)
        k = self.active.bridge_ids
        out.peak_x[k] = np.maximum(out.peak_x[k], np.where(moved, trial.top_x, b.x))
        # End exactly on the boundary where the step was cut by it.
        ends = accept & (dt >= remaining)
        boundary = self.boundaries[np.arange(self.t.size), self.segment + 1]
        self.t = np.where(ends, boundary, np.where(accept, self.t + dt, self.t))
        if self.trace is not None:
            self.trace(self.t, self.active.circuit_ids, b.x, trial.last.string_A)

    def _finish(
        self,
        accept: Bools,
        dt: Floats,
        next_dt: Floats,
        remaining: Floats,
        u1: Floats,
        slope: Floats,
        last: Solution,
    ) -> None:
        """Part bridges, switch segments, retire circuits and set the next steps."""
        b, cb = self.active.bridges, self.active.circuit_of_bridge
        parting = accept[cb] & ~b.parted & (b.x >= b.burn_open - EVENT_TOLERANCE)
        b.part(parting, last.string_A)
        self.active.out.part_s[self.active.bridge_ids[parting]] = self.t[cb[parting]]
        events = accept & (dt >= remaining)
        self.active.watch_dark(events, last)
        self.segment = self.segment + events
        self._skip_empty_segments()
        events[cb[parting]] = True
        done = self.segment >= self.boundaries.shape[1] - 1
        if accept.all() and not events.any() and not done.any():
            self.now, self.u0, self.slope, self.dt = last, u1, slope, next_dt
            return
        if done.any():
            alive = ~done
            last, u1, slope = self.active.only(alive, last), u1[alive[cb]], slope[alive[cb]]
            self._retire(done)
            events, next_dt, accept = events[alive], next_dt[alive], accept[alive]
        if not self.active.circuit_ids.size:
            return
        # Circuits without an event go on from the end of their step, just as they would alone.
        fresh = self._solve(self.active.bridges.x, self.emf)
        u0 = self.active.bridges.heating(fresh.string_A, self.active.bridges.x)
        onward = accept & ~events
        self._start(self.active.merge(onward, last, fresh))
        onward_bridge = onward[self.active.circuit_of_bridge]
        self.u0 = np.where(onward_bridge, u1, u0)
        self.slope = np.where(onward_bridge, slope, self.slope)
        self.dt = np.where(events, self.dt, next_dt)

    def _skip_empty_segments(self) -> None:
        """Pass over segments of no length, which pad circuits that have fewer segments."""
        last = self.boundaries.shape[1] - 1
        rows = np.arange(self.t.size)
        for _ in range(last):
            upper = np.minimum(self.segment + 1, last)
            empty = (self.segment < last) & (self.boundaries[rows, upper] <= self.t)
            if not empty.any():
                return
            self.segment = self.segment + empty

    def _retire(self, done: Bools) -> None:
        """Drop finished circuits from the work."""
        self.active.retire(done, self.emf)
        if self.active.circuit_ids.size:
            self.boundaries = self.boundaries[~done]
            self.t, self.segment, self.emf = self.t[~done], self.segment[~done], self.emf[~done]


def run_transient(
    network: Network,
    bridges: Bridges,
    boundaries_s: Floats,
    *,
    tolerance: float = 1e-6,
    watch: Bools | None = None,
    trace: Trace | None = None,
) -> Outcome:
    """Step all circuits of a network through their segments.

    Parameters
    ----------
    network : Network
        The circuits.
    bridges : Bridges
        Their igniters with the state at the start; `x`, `lit` and `parted` are replaced by the
        state at the end.
    boundaries_s : array, shape (circuits, segments + 1)
        Rising times at which segments begin and end, s. Shorter lists are padded with their last
        time.
    tolerance : float
        Largest estimated error of x in one step. Against scipy at 1e-10 on some sixty varied
        circuits, event times are within 4e-5 of their value at 1e-4, and within 2e-6 at the
        default (reference ladder: 1e-6 and 2e-8).
    watch : bool array, optional
        Bridges whose circuit currents are kept at the moment of ignition.
    trace : callable, optional
        Called after each step with times, circuit indexes, x and string currents.

    Returns
    -------
    Outcome
        Events and extremes of every bridge, branch and circuit.

    Notes
    -----
    Each bridge obeys ``dx/dt = (u - x) / tau``, ``u = (I / I0)^2 (1 + a x)``, with the currents of
    the whole circuit at every moment.

    Valid for bridges with a single thermal node and resistances that are linear in temperature. A
    bridge cannot be lit again and heats no more once it has parted. Inductance and capacitance of
    cables, and what heats contacts and cables, are left out: light times below about 0.1 ms mean
    "at once". Numbers that are not those of a circuit (``nan``) are not found out here.

    References
    ----------
    L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961), for the equation.

    Examples
    --------
    One bridge of 1 Ω, I0 = 0.4 A, tau = 20 ms at a constant 0.6 A lights after
    ``-tau ln(1 - (I0/I)^2)`` = 11.7557 ms:

    >>> from bridgewire.physics.supply import SupplyArrays
    >>> from bridgewire.physics.tree import TreeNetwork
    >>> one, yes = np.ones(1), np.ones((1, 1), dtype=bool)
    >>> zero = np.zeros(1, dtype=np.intp)
    >>> net = TreeNetwork(np.array([-1]), 0 * one, zero, zero, 0 * one, yes, 0 * one,
    ...                   SupplyArrays.plain(0.6, 0.0))
    >>> bridge = Bridges(zero, one, 0 * one, 0.4 * one, 0.02 * one, np.inf * one, np.inf * one,
    ...                  0 * one, ~yes[0], ~yes[0])
    >>> out = run_transient(net, bridge, np.array([[0.0, 0.1]]))
    >>> round(float(out.light_s[0]) * 1e3, 4)
    11.7557
    """
    return _Run(network, bridges, boundaries_s, tolerance, watch, trace).run()
