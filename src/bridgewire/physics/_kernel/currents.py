"""Currents of one circuit, and how they heat its bridges."""

from __future__ import annotations

import math

import numpy as np

from bridgewire.physics._kernel.arrays import (
    BASE_OHM,
    FIRST,
    FIXED_OHM,
    HEAT,
    LOAD,
    NODE_OHM,
    PARENT,
    RISE,
    RISE_OHM,
    SEEN,
    SIEMENS,
    STRING_NODE,
    VOLTS,
    OneSupply,
    Size,
)
from bridgewire.physics._kernel.compiling import inner
from bridgewire.physics.network import Bools, Floats, Ints


@inner
def solve(
    f: Floats,
    q: Ints,
    size: Size,
    on: Bools,
    on_at: int,
    segment: int,
    supply: OneSupply,
    emf: float,
    x: int,
    string_A: int,
    branch_A: int,
) -> tuple[float, float, bool]:
    """Currents of the circuit from and into the given rows.

    Returns supply current, supply voltage and whether the limit is in force.
    """
    for i in range(size.nodes):
        f[LOAD, i] = 0.0
    for j in range(size.strings):
        siemens = 0.0
        if on[on_at + j, segment]:
            ohm = f[FIXED_OHM, j]
            for k in range(q[FIRST, j], q[FIRST, j + 1]):
                ohm += f[BASE_OHM, k] + f[RISE_OHM, k] * f[x, k]
            siemens = 1.0 / max(ohm, supply.least_ohm)
            f[LOAD, q[STRING_NODE, j]] += siemens
        f[SIEMENS, j] = siemens
    for i in range(size.nodes - 1, 0, -1):
        load = f[LOAD, i]
        seen = load / (1.0 + f[NODE_OHM, i] * load)
        f[SEEN, i] = seen
        f[LOAD, q[PARENT, i]] += seen
    load, drop = f[LOAD, 0], supply.drop_V
    supply_A = max(emf - drop, 0.0) * load / (1.0 + supply.internal_ohm * load)
    supply_V = emf - supply.internal_ohm * supply_A
    limited = False
    if supply.limit:
        ceiling = supply.short_circuit_A + supply.slope * supply_V
        if supply_A > ceiling and load > supply.slope:
            limited = True
            supply_V = (supply.short_circuit_A + load * drop) / (load - supply.slope)
            supply_A = load * (supply_V - drop)
    f[VOLTS, 0] = max(supply_V - drop, 0.0)
    f[branch_A, 0] = supply_A
    for i in range(1, size.nodes):
        above = f[VOLTS, q[PARENT, i]]
        current = above * f[SEEN, i]
        f[branch_A, i] = current
        f[VOLTS, i] = above - current * f[NODE_OHM, i]
    for j in range(size.strings):
        f[string_A, j] = f[VOLTS, q[STRING_NODE, j]] * f[SIEMENS, j]
    return supply_A, supply_V, limited


@inner
def heat(f: Floats, q: Ints, size: Size, string_A: int, x: int, u: int) -> None:
    """u of every bridge."""
    for j in range(size.strings):
        square = f[string_A, j] * f[string_A, j]
        for k in range(q[FIRST, j], q[FIRST, j + 1]):
            f[u, k] = square * f[HEAT, k] * (1.0 + f[RISE, k] * f[x, k])


@inner
def fallen(emf: float, over: float, current_A: float, at_V: float, capacitance: float) -> float:
    """Source voltage some time on; see `bridgewire.physics.transient`."""
    if at_V > 0.0 and capacitance < np.inf:
        return emf * math.exp(-current_A / (at_V * capacitance) * over)
    return emf
