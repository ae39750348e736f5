"""Event times of a case by scipy's DOP853, restarted at every opening and switching.

The resistive network is solved here by its own dense nodal analysis, with every state of the
diodes tried in turn, so that nothing of the library under test is used.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from tests.oracles.case import Case, Events

Floats = NDArray[np.float64]


class Network:
    """The resistive network of a case."""

    def __init__(self, case: Case) -> None:
        self.case = case
        size = case.nodes
        self.fixed = np.zeros((size, size))
        for branch in case.branches:
            self._stamp(self.fixed, branch.start, branch.end, 1.0 / branch.ohm)
        self.diodes = [i for i, s in enumerate(case.strings) if s.diode or case.drop_V > 0]

    @staticmethod
    def _stamp(matrix: Floats, a: int, b: int, siemens: float) -> None:
        matrix[a, a] += siemens
        matrix[b, b] += siemens
        matrix[a, b] -= siemens
        matrix[b, a] -= siemens

    def currents(self, string_S: Floats, emf_V: float) -> tuple[Floats, float]:
        """String currents and supply current for given string conductances."""
        for blocked in itertools.product((False, True), repeat=len(self.diodes)):
            conductance, drop = string_S.copy(), np.zeros(string_S.size)
            for i, block in zip(self.diodes, blocked, strict=True):
                conductance[i] = 0.0 if block else conductance[i]
                drop[i] = self.case.drop_V
            across, supply_A = self._limited(conductance, drop, emf_V)
            current = conductance * across
            if all(
                across[i] <= 0 if block else current[i] >= 0
                for i, block in zip(self.diodes, blocked, strict=True)
            ):
                return current, supply_A
        raise RuntimeError("no consistent state of the diodes")

    def _limited(self, string_S: Floats, drop: Floats, emf_V: float) -> tuple[Floats, float]:
        source = self.case.source
        across, feed_V = self._linear(
            string_S, drop, emf_V / source.internal_ohm, 1.0 / source.internal_ohm
        )
        supply_A = (emf_V - feed_V) / source.internal_ohm
        if supply_A <= source.short_circuit_A + source.fold_S * feed_V:
            return across, supply_A
        across, feed_V = self._linear(string_S, drop, source.short_circuit_A, -source.fold_S)
        return across, source.short_circuit_A + source.fold_S * feed_V

    def _linear(
        self, string_S: Floats, drop: Floats, source_A: float, source_S: float
    ) -> tuple[Floats, float]:
        """Voltages (less drop) across strings with a Norton source at node 1."""
        matrix = self.fixed.copy()
        side = np.zeros(matrix.shape[0])
        for string, siemens, volts in zip(self.case.strings, string_S, drop, strict=True):
            self._stamp(matrix, string.start, string.end, siemens)
            side[string.start] += siemens * volts
            side[string.end] -= siemens * volts
        matrix[1, 1] += source_S
        side[1] += source_A
        # A vanishing leak keeps parts that nothing reaches solvable.
        inner = matrix[1:, 1:] + 1e-13 * np.eye(matrix.shape[0] - 1)
        volts_at = np.concatenate([[0.0], np.linalg.solve(inner, side[1:])])
        across = np.array([volts_at[s.start] - volts_at[s.end] for s in self.case.strings])
        return across - drop, float(volts_at[1])


class _Integration:
    """The state is the rise of every igniter and the source voltage."""

    def __init__(self, case: Case) -> None:
        self.case, self.network = case, Network(case)
        igniters = case.igniters
        self.string_of = np.array(case.string_of_igniter)
        self.cold = np.array([i.cold_ohm for i in igniters])
        self.alpha = np.array([i.alpha_per_K for i in igniters])
        self.heat = np.array([i.heat_J_per_K for i in igniters])
        self.loss = np.array([i.loss_W_per_K for i in igniters])
        self.after = np.array([i.after_ohm for i in igniters])
        self.light = np.array([i.light_K for i in igniters])
        self.open = np.array([i.open_K for i in igniters])
        self.lead = np.array([s.lead_ohm for s in case.strings])
        self.parted = np.zeros(len(igniters), dtype=bool)
        self.on = np.ones(len(case.strings), dtype=bool)
        self.events = Events(np.full(len(igniters), np.nan), np.full(len(igniters), np.nan))

    def slope(self, _t: float, state: Floats) -> Floats:
        rise, emf_V = state[:-1], float(state[-1])
        hot = self.cold * (1.0 + self.alpha * rise)
        ohm = np.where(self.parted, self.after, hot)
        string_ohm = self.lead + np.bincount(self.string_of, ohm, self.lead.size)
        string_A, supply_A = self.network.currents(np.where(self.on, 1.0 / string_ohm, 0.0), emf_V)
        power = np.where(self.parted, 0.0, string_A[self.string_of] ** 2 * hot)
        fall = -supply_A / self.case.source.capacitance_F
        return np.append((power - self.loss * rise) / self.heat, fall)

    def run(self, rtol: float) -> Events:
        state = np.array([*(i.start_K for i in self.case.igniters), self.case.source.emf_V])
        bounds = self.case.boundaries_s
        for segment, (start, end) in enumerate(itertools.pairwise(bounds)):
            self.on[:] = [self.case.string_on(s, segment) for s in self.case.strings]
            now = start
            while now < end:
                now, state = self._until_opening(now, end, state, rtol)
        return Events(self.events.light_s, self.events.part_s, state[:-1], float(state[-1]))

    def _until_opening(
        self, start: float, end: float, state: Floats, rtol: float
    ) -> tuple[float, Floats]:
        """Integrate to the next opening or the end of the segment."""
        live = np.flatnonzero(~self.parted)
        unlit = live[np.isnan(self.events.light_s[live])]
        opening = [int(i) for i in live if math.isfinite(self.open[i])]
        watched = [_crossing(int(i), self.light[i], stop=False) for i in unlit]
        watched += [_crossing(i, self.open[i], stop=True) for i in opening]
        scale = np.append(self.light, max(self.case.source.emf_V, 1.0))
        found = solve_ivp(
            self.slope,
            (start, end),
            state,
            "DOP853",
            rtol=rtol,
            atol=1e-2 * rtol * scale,
            events=watched or None,
        )
        if not found.success:
            raise RuntimeError(found.message)
        times = found.t_events or []
        for i, when in zip(unlit, times, strict=False):
            if len(when):
                self.events.light_s[i] = when[0]
        for i, when in zip(opening, times[len(unlit) :], strict=True):
            if len(when):
                self.parted[i] = True
                self.events.part_s[i] = when[0]
        return float(found.t[-1]), found.y[:, -1]


def _crossing(index: int, level: float, *, stop: bool) -> Callable[[float, Floats], float]:
    def above(_t: float, state: Floats) -> float:
        return float(state[index] - level)

    above.terminal = stop  # type: ignore[attr-defined]
    above.direction = 1.0  # type: ignore[attr-defined]
    return above


def events(case: Case, *, rtol: float = 1e-10) -> Events:
    """Event times and end state of one case."""
    return _Integration(case).run(rtol)
