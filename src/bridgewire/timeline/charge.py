"""What earlier cues leave in a box's supply: battery charge used, capacitor not yet recharged.

The charge of a cue is bounded from above by its first current (all bridges cold and whole) over
the whole pulse. For a battery that bound is used: voltages at later cues are a little low. For a
capacitor it only tells which cues may find it not yet full; those start from what the solver left.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TypeAlias

from attrs import define

from bridgewire.circuit.supplies import SupplyData
from bridgewire.circuit.ways import WayCircuit
from bridgewire.timeline.corners import TYPICAL
from bridgewire.timeline.schedule import Firing

Volts: TypeAlias = tuple[float, float, float]
"""A voltage at the worst corner, typically, and at the best corner."""


@define(eq=False)
class BoxLedger:
    """Charge of one box through the show."""

    supply: SupplyData
    drop_V: float
    standby_A: float
    standby_s: float
    used_C: float = 0.0
    _left_V: Volts = (0.0, 0.0, 0.0)
    _last_end_s: float = -math.inf

    def before(self, start_s: float) -> tuple[Volts, float]:
        """Open-circuit voltage (worst, typical, best) at a firing, and charge used before it, C.

        For a capacitor a lower bound of the voltage that recharging has reached.
        """
        emf = self.supply.emf_V
        if self.supply.capacitance_F is not None:
            gap = start_s - self._last_end_s
            return recharged_V(self.supply, self._left_V, gap), self.used_C
        used = self.used_C + self.standby_A * max(self.standby_s + start_s, 0.0)
        fall = self.supply.battery.fall_V(used) if self.supply.battery is not None else 0.0
        return (emf.min - fall, emf.typical - fall, emf.max - fall), used

    def after(
        self,
        firing: Firing,
        ways: Mapping[tuple[str, int, int], WayCircuit],
        emf_V: Volts,
    ) -> None:
        """Book the charge of a firing."""
        r = self.supply.internal_ohm.typical
        limit = self.supply.limit_A.typical if self.supply.limit_A is not None else math.inf
        left = [max(e - self.drop_V, 0.0) for e in emf_V]
        for pulse in firing.pulses:
            load = load_S(ways[pulse.way])
            current = min(left[1] * load / (1.0 + r * load), limit)
            self.used_C += current * pulse.length_s
            capacitance = self.supply.capacitance_F
            if capacitance is not None and load > 0:
                resistance = r + 1.0 / load
                for i, farad in enumerate((capacitance.min, capacitance.typical, capacitance.max)):
                    left[i] *= math.exp(-pulse.length_s / (resistance * farad))
        if self.supply.capacitance_F is not None:
            self._left_V = (left[0] + self.drop_V, left[1] + self.drop_V, left[2] + self.drop_V)
            self._last_end_s = firing.end_s


def recharged_V(supply: SupplyData, left_V: Volts, gap_s: float) -> Volts:
    """Voltage of a capacitor some time after a firing: worst, typical, best.

    The charger is a constant-current one, so the voltage rises in proportion to time.

    Parameters
    ----------
    supply : SupplyData
    left_V : tuple of float
        Voltage at the end of the firing: worst, typical, best.
    gap_s : float
    """
    full, recharge = supply.emf_V, supply.recharge_s
    if recharge is None:
        return full.min, full.typical, full.max

    def after(top_V: float, left: float, whole_s: float) -> float:
        return top_V if gap_s >= whole_s else min(left + gap_s * top_V / whole_s, top_V)

    return (
        after(full.min, left_V[0], recharge.max),
        after(full.typical, left_V[1], recharge.typical),
        after(full.max, left_V[2], recharge.min),
    )


def load_S(way: WayCircuit, corner: int = TYPICAL, without: int | None = None) -> float:
    """Conductance of a way with all bridges cold and whole, S.

    Parameters
    ----------
    way : WayCircuit
    corner : int
        0 takes the least of every resistance, 1 the typical, 2 the highest.
    without : int, optional
        A string to leave out.
    """
    load = [0.0] * len(way.nodes)
    for i, string in enumerate(way.strings):
        if i == without:
            continue
        ohm = float(way.string_ohm[i, corner])
        for bridge in string.bridges:
            data = way.bridge_data[bridge]
            if data is not None:
                band = data.bridge_ohm
                ohm += (band.min, band.typical, band.max)[corner]
        load[string.node] += 1.0 / ohm
    for n in range(len(way.nodes) - 1, 0, -1):
        series = float(way.node_ohm[n, corner])
        load[way.nodes[n].parent] += load[n] / (1.0 + series * load[n])
    head = float(way.node_ohm[0, corner])
    return load[0] / (1.0 + head * load[0])
