"""Circuits and draws as the flat arrays that the compiled code takes; needs no numba itself."""

from __future__ import annotations

from types import ModuleType
from typing import TYPE_CHECKING, Any

import numpy as np

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.draws import DrawValues
from bridgewire.physics.network import LEAST_OHM, Floats, Ints
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.transient import EVENT_TOLERANCE, LOOK_AHEAD
from bridgewire.physics.tree import TreeNetwork

if TYPE_CHECKING:
    from bridgewire.physics._kernel.arrays import Results, Structure, Values


def numbers_of(
    kernel: ModuleType,
    branch_ohm: Floats,
    string_fixed_ohm: Floats,
    supply: SupplyArrays,
    drop_V: Floats,
    bridges: Bridges | DrawValues,
) -> Values:
    """Numbers of circuits or draws, flat."""

    def flat(array: Floats) -> Floats:
        return np.ascontiguousarray(array, dtype=np.float64).ravel()

    values: Values = kernel.Values(
        flat(branch_ohm),
        flat(string_fixed_ohm),
        flat(supply.emf_V),
        flat(supply.internal_ohm),
        flat(supply.limit_A),
        flat(supply.short_circuit_A),
        flat(supply.nominal_V),
        flat(supply.capacitance_F),
        flat(drop_V),
        flat(bridges.cold_ohm),
        flat(bridges.rise_per_x),
        flat(bridges.threshold_A),
        flat(bridges.tau_s),
        flat(bridges.burn_open),
        flat(bridges.after_ohm),
    )
    return values


def structure_of(
    kernel: ModuleType, network: TreeNetwork, bridges: Bridges, order: Ints, boundaries_s: Floats
) -> Structure:
    """Structure of a forest, circuit by circuit; `order` sorts its nodes by circuit."""
    count, strings = network.drop_V.size, network.string_node.size
    edges = np.arange(count + 1)
    node_first = np.searchsorted(network.circuit_of_node[order], edges)
    string_first = np.searchsorted(network.circuit_of_string, edges)
    place = np.empty_like(order)
    place[order] = np.arange(order.size)
    local = place - node_first[network.circuit_of_node]
    parent = network.parent[order]
    first = np.searchsorted(bridges.string, np.arange(strings + 1))
    # One entry more than a circuit has strings.
    circuit = np.repeat(np.arange(count), np.diff(string_first) + 1)
    entry = np.arange(strings + count) - circuit
    structure: Structure = kernel.Structure(
        node_first,
        string_first,
        np.where(parent < 0, 0, local[parent]),
        local[network.string_node],
        first[entry] - first[string_first[circuit]],
        np.ascontiguousarray(network.string_on, dtype=np.bool_),
        np.ascontiguousarray(boundaries_s, dtype=np.float64),
    )
    return structure


def arguments(
    structure: Structure, values: Values, results: Results, tolerance: float
) -> tuple[tuple[Any, ...], ...]:
    """Arguments of the compiled code after the first three."""
    settings = (tolerance, EVENT_TOLERANCE, LOOK_AHEAD, LEAST_OHM)
    return tuple(structure), tuple(values), tuple(results), settings
