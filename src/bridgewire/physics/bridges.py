"""The bridges of a batch of circuits: their constants, their state, how they heat."""

from __future__ import annotations

from functools import partial

import numpy as np
from attrs import define, field

from bridgewire.physics.laws import BridgeState, FaultLog, IgniterModel, Law, checked, take_laws
from bridgewire.physics.network import Bools, Floats, Ints


@define(eq=False)
class Bridges:
    """The bridges of a batch of circuits, in the order of their strings.

    Parameters
    ----------
    string : int array, shape (bridges,)
        String of each bridge, rising.
    cold_ohm : array, shape (bridges,)
        Bridge resistance at ambient temperature, R0, ohm.
    rise_per_x : array, shape (bridges,)
        ``a``: relative rise of the resistance when x rises by 1.
    threshold_A, tau_s : array, shape (bridges,)
        Threshold current I0, A, and time constant, s.
    burn_open : array, shape (bridges,)
        The x at which the bridge parts; ``inf`` = never.
    after_ohm : array, shape (bridges,)
        Resistance once parted, ohm; ``inf`` = open.
    x : array, shape (bridges,)
        Temperature rise over the rise that lights: at the start, and after a run at its end.
    lit, parted : bool array, shape (bridges,)
        State at the start, and after a run at its end.
    laws : tuple of Law
        Models from outside that some of the bridges obey.
    faults : FaultLog
        What was wrong with their answers.

    Notes
    -----
    Each bridge obeys ``dx/dt = (u - x) / tau`` with ``u = (I / I0)^2 (1 + a x)`` and has the
    resistance ``R0 (1 + a x)``, unless a law says otherwise. One thermal node each.

    References
    ----------
    L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961).

    Examples
    --------
    Two bridges in series, the second half way to its lighting temperature:

    >>> one, no = np.ones(2), np.zeros(2, dtype=bool)
    >>> pair = Bridges(np.array([0, 0]), 1.5 * one, 0.1 * one, 0.4 * one, 0.02 * one, np.inf * one,
    ...                np.inf * one, np.array([0.0, 0.5]), no, no.copy())
    >>> pair.resistance(pair.x).round(4).tolist(), pair.heating(np.array([0.6]), pair.x).tolist()
    ([1.5, 1.575], [2.2499999999999996, 2.3625])
    """

    string: Ints
    cold_ohm: Floats
    rise_per_x: Floats
    threshold_A: Floats
    tau_s: Floats
    burn_open: Floats
    after_ohm: Floats
    x: Floats
    lit: Bools
    parted: Bools
    laws: tuple[Law, ...] = ()
    faults: FaultLog = field(factory=FaultLog)

    def take(self, keep: Ints, string: Ints) -> Bridges:
        """Some bridges, by index, with their new string numbers."""
        return Bridges(
            string,
            self.cold_ohm[keep],
            self.rise_per_x[keep],
            self.threshold_A[keep],
            self.tau_s[keep],
            self.burn_open[keep],
            self.after_ohm[keep],
            self.x[keep],
            self.lit[keep],
            self.parted[keep],
            take_laws(self.laws, keep),
            self.faults,
        )

    def resistance(self, x: Floats) -> Floats:
        """Resistance R0 (1 + a x) of each bridge, or what its law says, ohm; parted: its own."""
        whole = self.cold_ohm * (1.0 + self.rise_per_x * x)
        for law in self.laws:
            ask = law.model.resistance if isinstance(law.model, IgniterModel) else None
            if ask is not None:
                state = self._state(law, x, np.zeros(law.members.size))
                whole[law.members] = checked(
                    law.model.name,
                    "resistance",
                    partial(ask, state),
                    whole[law.members],
                    self.faults,
                    above_zero=True,
                )
        return np.where(self.parted, self.after_ohm, whole)

    def heating(self, string_A: Floats, x: Floats) -> Floats:
        """Heating u = (I / I0)² (1 + a x) of each bridge, or what its law says; 0 once parted."""
        current_A = string_A[self.string]
        ratio = current_A / self.threshold_A
        u = ratio * ratio * (1.0 + self.rise_per_x * x)
        for law in self.laws:
            if isinstance(law.model, IgniterModel):
                state = self._state(law, x, np.abs(current_A[law.members]))
                ask = partial(law.model.heating, state)
                name = law.model.name
                u[law.members] = checked(name, "heating", ask, u[law.members], self.faults)
        return np.where(self.parted, 0.0, u)

    def part(self, which: Bools, string_A: Floats) -> None:
        """Let some bridges part; models say what resistance they are left with."""
        self.parted = self.parted | which
        for law in self.laws:
            ask = law.model.after_ohm if isinstance(law.model, IgniterModel) else None
            if ask is None or not which[law.members].any():
                continue
            state = self._state(law, self.x, np.abs(string_A[self.string][law.members]))
            answer = checked(
                law.model.name,
                "after_ohm",
                partial(ask, state),
                self.after_ohm[law.members],
                self.faults,
                may_be_infinite=True,
            )
            now = which[law.members]
            self.after_ohm[law.members[now]] = answer[now]

    def _state(self, law: Law, x: Floats, current_A: Floats) -> BridgeState:
        m = law.members
        return BridgeState(
            x[m],
            current_A,
            self.cold_ohm[m],
            self.rise_per_x[m],
            self.threshold_A[m],
            self.tau_s[m],
            law.parameters,
        )

    def cool(self, time_s: Floats | float) -> None:
        """Let the bridges cool without current for a time, s: x e^(-t/tau)."""
        self.x = self.x * np.exp(-np.asarray(time_s) / self.tau_s)
