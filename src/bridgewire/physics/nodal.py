"""General nodal solution of circuits that are not trees: shared returns, sneak paths, meshes.

A batch holds circuits of one topology with their own values. Diodes are piecewise linear: a
constant drop plus a slope when they conduct, open when they do not.
"""

from __future__ import annotations

import numpy as np
from attrs import define, field, frozen

from bridgewire.physics.laws import Law
from bridgewire.physics.network import LEAST_OHM, Bools, Floats, Ints, Solution
from bridgewire.physics.supply import (
    SupplyArrays,
    falling_root,
    fold_back_slope,
    model_current,
    note_rising,
)

LEAK_S = 1e-12
"""Conductance from every node to the return, so that parted pieces have a voltage."""


@frozen(eq=False)
class Topology:
    """How a circuit is connected.

    Node 0 is the return side of the supply, node 1 its feed side.

    Parameters
    ----------
    nodes : int
        Count of nodes, at least 2.
    branch_ends : int array, shape (branches, 2)
        From and to node of each branch.
    branch_on : bool array, shape (branches, segments)
        False where the branch is a switch that is open in a segment.
    string_ends : int array, shape (strings, 2)
        From and to node of each string.
    string_diode : bool array, shape (strings,)
        Whether a diode sits in series with the string, conducting from its first to its second
        node.

    Examples
    --------
    Two strings behind one run with a feed and a return conductor:

    >>> ends = np.array([[1, 2], [3, 0]]), np.array([[2, 3], [2, 3]])
    >>> Topology(4, ends[0], np.ones((2, 1), dtype=bool), ends[1], np.zeros(2, dtype=bool)).nodes
    4
    """

    nodes: int
    branch_ends: Ints
    branch_on: Bools
    string_ends: Ints
    string_diode: Bools


def _incidence(ends: Ints, nodes: int) -> Floats:
    """Rows of +1 and -1 for each branch; the column of node 0 is left out."""
    matrix = np.zeros((ends.shape[0], nodes))
    rows = np.arange(ends.shape[0])
    np.add.at(matrix, (rows, ends[:, 0]), 1.0)
    np.add.at(matrix, (rows, ends[:, 1]), -1.0)
    return matrix[:, 1:]


@define(eq=False)
class NodalNetwork:
    """A batch of circuits of one topology, solved by nodal equations.

    Parameters
    ----------
    topology : Topology
        How all of them are connected.
    branch_ohm : array, shape (circuits, branches)
        Resistance of each branch, ohm.
    string_fixed_ohm : array, shape (circuits, strings)
        Leads, terminal and diode slope, ohm.
    drop_V : array, shape (circuits,)
        Constant drop of every diode of a circuit, V.
    supply : SupplyArrays
        One supply for each circuit.

    Notes
    -----
    Resistances below 1e-7 ohm count as 1e-7 ohm, and every node has a leak of 1e-12 S to the
    return. A diode conducts with a constant drop and a slope, or is open; the states are found by
    trial.

    Examples
    --------
    Two strings of 4 ohm, each conductor of the run with 0.5 ohm, on 12 V behind 1 ohm:

    >>> ends = np.array([[1, 2], [3, 0]]), np.array([[2, 3], [2, 3]])
    >>> topology = Topology(4, ends[0], np.ones((2, 1), dtype=bool), ends[1],
    ...                     np.zeros(2, dtype=bool))
    >>> net = NodalNetwork(topology, np.array([[0.5, 0.5]]), np.zeros((1, 2)), np.zeros(1),
    ...                    SupplyArrays.plain(12.0, 1.0))
    >>> solution = net.solve(np.array([4.0, 4.0]), np.zeros(1, dtype=np.intp), net.emf_V)
    >>> solution.string_A.round(6).tolist(), float(solution.supply_A.round(6)[0])
    ([1.5, 1.5], 3.0)
    """

    topology: Topology
    branch_ohm: Floats
    string_fixed_ohm: Floats
    drop_V: Floats
    supply: SupplyArrays
    circuit_of_string: Ints = field(init=False)
    circuit_of_branch: Ints = field(init=False)
    _branch_matrix: Floats = field(init=False)
    _string_matrix: Floats = field(init=False)

    def __attrs_post_init__(self) -> None:
        count, strings = self.string_fixed_ohm.shape
        self.circuit_of_string = np.repeat(np.arange(count), strings)
        self.circuit_of_branch = np.repeat(np.arange(count), self.branch_ohm.shape[1])
        self._branch_matrix = _incidence(self.topology.branch_ends, self.topology.nodes)
        self._string_matrix = _incidence(self.topology.string_ends, self.topology.nodes)

    @property
    def capacitance_F(self) -> Floats:
        """Storage capacitor of each circuit, F."""
        return self.supply.capacitance_F

    @property
    def emf_V(self) -> Floats:
        """Source voltage of each circuit at the start, V."""
        return self.supply.emf_V

    def solve(self, string_ohm: Floats, segment: Ints, emf_V: Floats) -> Solution:
        """Solve all circuits.

        Parameters
        ----------
        string_ohm : array, shape (circuits * strings,)
            Sum of the bridges of each string; ``inf`` where open.
        segment : int array, shape (circuits,)
        emf_V : array, shape (circuits,)

        Returns
        -------
        Solution
            ``branch_A`` holds the branches of the first circuit, then of the second, and so on.

        Raises
        ------
        RuntimeError
            If the diodes find no consistent state (not seen with passive circuits).
        """
        shape = self.string_fixed_ohm.shape
        bridge_S = 1.0 / np.maximum(self.string_fixed_ohm + string_ohm.reshape(shape), LEAST_OHM)
        on = self.topology.branch_on[:, segment].T
        branch_S = np.where(on, 1.0 / np.maximum(self.branch_ohm, LEAST_OHM), 0.0)
        conducting = np.ones(shape, dtype=bool)
        diode = self.topology.string_diode
        for _ in range(2 * shape[1] + 8):
            string_S = np.where(conducting, bridge_S, 0.0)
            volts, supply_A, limited = self._linear(branch_S, string_S, emf_V)
            across = volts @ self._string_matrix.T - np.where(diode, self.drop_V[:, None], 0.0)
            settled = np.where(diode, across > -1e-12, True)
            if np.array_equal(settled, conducting):
                break
            conducting = settled
        else:
            raise RuntimeError("the diodes of a circuit found no consistent state")
        string_A = across * string_S
        branch_A = (volts @ self._branch_matrix.T) * branch_S
        return Solution(string_A.ravel(), branch_A.ravel(), supply_A, volts[:, 0], limited)

    def _linear(
        self, branch_S: Floats, string_S: Floats, emf_V: Floats
    ) -> tuple[Floats, Floats, Bools]:
        """Node voltages for fixed diode states; the supply's limit lowers its voltage."""
        a, s = self._branch_matrix, self._string_matrix
        matrix = (a.T * branch_S[:, None, :]) @ a + (s.T * string_S[:, None, :]) @ s
        size = matrix.shape[1]
        source_S = 1.0 / np.maximum(self.supply.internal_ohm, LEAST_OHM)
        index = np.arange(size)
        matrix[:, index, index] += LEAK_S
        matrix[:, 0, 0] += source_S
        offset = string_S * np.where(self.topology.string_diode, self.drop_V[:, None], 0.0)
        # The solution is affine in the source voltage: volts = base + emf * gain.
        sides = np.zeros((*matrix.shape[:2], 2))
        sides[:, :, 0] = offset @ s
        sides[:, 0, 1] = source_S
        base, gain = np.moveaxis(np.linalg.solve(matrix, sides), 2, 0)
        free_V = base[:, 0] + emf_V * gain[:, 0]
        free_A = source_S * (emf_V - free_V)
        slope = fold_back_slope(self.supply)
        finite = np.isfinite(self.supply.limit_A)
        ceiling_A = np.where(finite, self.supply.short_circuit_A + slope * free_V, np.inf)
        # On the limit: source_S (e - v) = I_sc + k v with v = base + e gain.
        rise = source_S * (1.0 - gain[:, 0]) - slope * gain[:, 0]
        limited = finite & (free_A > ceiling_A) & (rise > 0)
        if limited.any():
            short = np.where(finite, self.supply.short_circuit_A, 0.0)
            held = (short + (source_S + slope) * base[:, 0]) / np.where(limited, rise, 1.0)
            emf_V = np.where(limited, held, emf_V)
        for law in self.supply.laws:
            m = law.members
            top_V = emf_V[m]

            def surplus(source_V: Floats, law: Law = law, top_V: Floats = top_V) -> Floats:
                m = law.members
                at_V = base[m, 0] + source_V * gain[m, 0]
                given_A = model_current(law, at_V, top_V, self.supply.faults)
                drawn_A: Floats = source_S[m] * (source_V - at_V)
                return given_A - drawn_A

            emf_V = emf_V.copy()
            emf_V[m] = falling_root(surplus, top_V)
            note_rising(law, base[m, 0] + emf_V[m] * gain[m, 0], top_V, self.supply.faults)
        volts: Floats = base + emf_V[:, None] * gain
        return volts, source_S * (emf_V - volts[:, 0]), limited

    def take(self, circuits: Ints) -> NodalNetwork:
        """Some circuits of the batch (rising indexes)."""
        return NodalNetwork(
            self.topology,
            self.branch_ohm[circuits],
            self.string_fixed_ohm[circuits],
            self.drop_V[circuits],
            self.supply.take(circuits),
        )
