"""The bridges of a batch of circuits: their constants, their state, how they heat."""

from __future__ import annotations

import numpy as np
from attrs import define

from bridgewire.physics.network import Bools, Floats, Ints


@define(eq=False)
class Bridges:
    """The bridges of a batch of circuits, in the order of their strings.

    Attributes
    ----------
    string : int array
        String of each bridge, rising.
    cold_ohm : array
        Bridge resistance at ambient temperature.
    rise_per_x : array
        ``a``: relative rise of the resistance when x rises by 1.
    threshold_A, tau_s, burn_open : arrays
        I0, tau and the x at which the bridge parts (``inf`` = never).
    after_ohm : array
        Resistance once parted; ``inf`` = open.
    x, lit, parted : arrays
        State at the start; replaced by the state at the end.
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
        )

    def resistance(self, x: Floats) -> Floats:
        """Resistance of each bridge at given temperature rises, ohm."""
        return np.where(self.parted, self.after_ohm, self.cold_ohm * (1.0 + self.rise_per_x * x))

    def heating(self, string_A: Floats, x: Floats) -> Floats:
        """u of each bridge; 0 once it has parted."""
        ratio = string_A[self.string] / self.threshold_A
        return np.where(self.parted, 0.0, ratio * ratio * (1.0 + self.rise_per_x * x))

    def cool(self, time_s: Floats | float) -> None:
        """Let the bridges cool without current."""
        self.x = self.x * np.exp(-np.asarray(time_s) / self.tau_s)
