"""What earlier cues leave in a box's supply: battery charge used, capacitor not yet recharged.

The charge of a pulse is reckoned from a steady current over the whole of it. Typically that is the
first current (all bridges cold and whole): high where bridges burn open. The most is the current
with every resistance least, the bridges' after burning too: at the worst corner a battery has given
that, from its least state of charge, where its curve may be steep. At the best corner it has given
nothing. For a capacitor the most only tells which cues may find it not yet full; those start from
what the solver left.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from attrs import define, field

from bridgewire.circuit.supplies import SupplyData
from bridgewire.circuit.ways import BridgeData, WayCircuit
from bridgewire.physics.network import LEAST_OHM
from bridgewire.timeline.corners import TYPICAL
from bridgewire.timeline.schedule import Firing


class Volts(NamedTuple):
    """A voltage at the worst corner, typically, and at the best corner, V."""

    worst: float
    typical: float
    best: float


@define(eq=False)
class BoxLedger:
    """Charge of one box through the show."""

    supply: SupplyData
    drop_V: float
    least_drop_V: float
    standby_A: float
    standby_s: float
    used_C: float = 0.0
    """Typical first current of each pulse over the whole of it."""
    most_C: float = 0.0
    """The most that the pulses can take within the tolerances."""
    _left_V: Volts = field(factory=lambda: Volts(0.0, 0.0, 0.0))
    _last_end_s: float = -math.inf

    def before(self, start_s: float) -> tuple[Volts, float]:
        """Open-circuit voltage (worst, typical, best) at a firing, and charge used before it, C.

        For a capacitor a lower bound of the voltage that recharging has reached.
        """
        emf = self.supply.emf_V
        if self.supply.capacitance_F is not None:
            gap = start_s - self._last_end_s
            return recharged_V(self.supply, self._left_V, gap), self.used_C
        waited = self.standby_A * max(self.standby_s + start_s, 0.0)
        used = self.used_C + waited
        battery = self.supply.battery
        if battery is None:
            return Volts(emf.min, emf.typical, emf.max), used
        most = battery.fall_V(self.most_C + waited, battery.charge_pct.min)
        fall = battery.fall_V(used, battery.charge_pct.typical)
        return Volts(emf.min - most, emf.typical - fall, emf.max), used

    def after(
        self,
        firing: Firing,
        ways: Mapping[tuple[str, int, int], WayCircuit],
        emf_V: Volts,
    ) -> None:
        """Book the charge of a firing."""
        supply = self.supply
        left = [max(e - self.drop_V, 0.0) for e in emf_V]
        for pulse in firing.pulses:
            way = ways[pulse.way]
            self.used_C += pulse.length_s * _steady_A(supply, left[1], load_S(way), TYPICAL)
            most_S = most_load_S(way)
            most_V = max(emf_V.best - self.least_drop_V, 0.0)
            self.most_C += pulse.length_s * _steady_A(supply, most_V, most_S, 2)
            capacitance = supply.capacitance_F
            if capacitance is not None and most_S > 0:
                resistance = supply.internal_ohm.min + 1.0 / most_S
                for i, farad in enumerate((capacitance.min, capacitance.typical, capacitance.max)):
                    left[i] *= math.exp(-pulse.length_s / (resistance * farad))
        if self.supply.capacitance_F is not None:
            self._left_V = Volts(*(volts + self.drop_V for volts in left))
            self._last_end_s = firing.end_s


def recharged_V(supply: SupplyData, left_V: Volts, gap_s: float) -> Volts:
    """Voltage of a capacitor some time after a firing: worst, typical, best.

    The charger is a constant-current one, so the voltage rises in proportion to time.

    Parameters
    ----------
    supply : SupplyData
    left_V : Volts
        At the end of the firing.
    gap_s : float
        Time since then, s.
    """
    full, recharge = supply.emf_V, supply.recharge_s
    if recharge is None:
        return Volts(full.min, full.typical, full.max)

    def after(top_V: float, left: float, whole_s: float) -> float:
        return top_V if gap_s >= whole_s else min(left + gap_s * top_V / whole_s, top_V)

    return Volts(
        after(full.min, left_V.worst, recharge.max),
        after(full.typical, left_V.typical, recharge.typical),
        after(full.max, left_V.best, recharge.min),
    )


def _steady_A(supply: SupplyData, volts: float, load: float, corner: int) -> float:
    """Current of a supply into a load, typically (corner 1) or at its most (corner 2), A."""
    r = supply.internal_ohm.typical if corner == TYPICAL else supply.internal_ohm.min
    limit = math.inf
    if supply.limit_A is not None:
        limit = supply.limit_A.typical if corner == TYPICAL else supply.limit_A.max
    if load == math.inf:
        return min(volts / r if r > 0.0 else math.inf, limit)
    return min(volts * load / (1.0 + r * load), limit)


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
    return _load_S(
        way,
        corner,
        [
            (b.bridge_ohm.min, b.bridge_ohm.typical, b.bridge_ohm.max)[corner]
            if b is not None
            else 0.0
            for b in way.bridge_data
        ],
        without,
    )


def most_load_S(way: WayCircuit) -> float:
    """Highest conductance of a way at any moment of a pulse, S.

    Every resistance at its least: that of a bridge cold, hot or as it is left after burning.

    Parameters
    ----------
    way : WayCircuit
    """
    return _load_S(way, 0, [0.0 if b is None else _least_ohm(b) for b in way.bridge_data], None)


def _least_ohm(bridge: BridgeData) -> float:
    hottest = 1.0 + bridge.rise_per_x * bridge.burn_open.max
    return min(bridge.bridge_ohm.min * min(max(hottest, 0.0), 1.0), bridge.after_ohm.min)


def _load_S(way: WayCircuit, corner: int, bridge_ohm: list[float], without: int | None) -> float:
    load = [0.0] * len(way.nodes)
    for i, string in enumerate(way.strings):
        if i == without:
            continue
        ohm = float(way.string_ohm[i, corner])
        for bridge in string.bridges:
            ohm += bridge_ohm[bridge]
        load[string.node] += 1.0 / max(ohm, LEAST_OHM)
    for n in range(len(way.nodes) - 1, 0, -1):
        series = float(way.node_ohm[n, corner])
        load[way.nodes[n].parent] += load[n] / (1.0 + series * load[n])
    head = float(way.node_ohm[0, corner])
    return load[0] / (1.0 + head * load[0])
