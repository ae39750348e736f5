"""How low a supply can be pulled: the weakest supply on the heaviest load.

No tolerance corner of an igniter has both: what lights it late is a light load on a weak supply.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from bridgewire.circuit.layout import WayKey
from bridgewire.circuit.supplies import SupplyData
from bridgewire.circuit.ways import WayCircuit
from bridgewire.model.band import Band
from bridgewire.physics.supply import SupplyArrays, operating_point
from bridgewire.timeline.charge import most_load_S
from bridgewire.timeline.schedule import Firing


def least_supply_V(
    supply: SupplyData,
    drop_V: Band,
    emf_V: float,
    firing: Firing,
    ways: Mapping[WayKey, WayCircuit],
) -> float:
    """Lowest voltage to which a firing can pull its supply within the tolerances, V.

    Every resistance of the circuit at its least, the supply's at its most; ways that are on
    together side by side.

    Parameters
    ----------
    supply : SupplyData
    drop_V : Band
        Of the diode in each way.
    emf_V : float
        Open-circuit voltage at the start of the firing, worst corner, V.
    firing : Firing
    ways : mapping of WayKey to WayCircuit

    Returns
    -------
    float
        inf where only the solver knows: for a capacitor and for a plugin's supply.
    """
    if supply.capacitance_F is not None or supply.model is not None:
        return math.inf
    load = max(sum(most_load_S(ways[key]) for key in active) for active in firing.active())
    source = SupplyArrays.plain(emf_V, supply.internal_ohm.max)
    source.nominal_V[:] = supply.emf_V.min
    if supply.limit_A is not None and supply.short_circuit_A is not None:
        source.limit_A[:] = supply.limit_A.min
        source.short_circuit_A[:] = supply.short_circuit_A.min
    output, _, _ = operating_point(source, source.emf_V, np.array([load]), np.array([drop_V.min]))
    return float(output[0])
