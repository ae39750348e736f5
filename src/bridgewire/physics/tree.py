"""Exact solution of many tree circuits at once, in time linear in their nodes.

All circuits of a batch form one forest. Nodes are ordered by depth, so one pass from the far end
folds admittances towards the supply and one pass back hands out voltages. Circuits may differ in
shape; each depth is one vector operation over all of them.
"""

from __future__ import annotations

import numpy as np
from attrs import define, field

from bridgewire.physics.network import LEAST_OHM, Bools, Floats, Ints, Solution
from bridgewire.physics.supply import SupplyArrays, operating_point


@define(eq=False)
class _Level:
    start: int
    stop: int
    parents: Ints
    """Parent of each node of this depth."""
    heads: Ints
    """Offsets (within the depth) at which a new parent begins."""
    head_parents: Ints


@define(eq=False)
class TreeNetwork:
    """A forest of circuits, each a tree from its supply.

    Parameters
    ----------
    parent : int array, shape (nodes,)
        Parent of each node; -1 for a root, which is the supply's terminals. Nodes are ordered by
        depth, then by parent (`order_nodes`); roots stand in the order of their circuits.
    branch_ohm : array, shape (nodes,)
        Loop resistance between a node and its parent (feed plus return), ohm; unused for roots.
    circuit_of_node : int array, shape (nodes,)
        Circuit of each node.
    string_node : int array, shape (strings,)
        Node on which each string hangs, in the order of circuits.
    string_fixed_ohm : array, shape (strings,)
        Leads, terminal and diode slope of a string, in series with its bridges, ohm.
    string_on : bool array, shape (strings, segments)
        Whether the string's way is switched on in each segment.
    drop_V : array, shape (circuits,)
        Constant drop of the series diode of every way of the circuit, V.
    supply : SupplyArrays
        One supply for each circuit.

    Raises
    ------
    ValueError
        If the nodes are not in that order.

    Notes
    -----
    Exact; conductances are folded from the far ends to the supply (G / (1 + R G) through a branch),
    currents are handed back. The time is linear in the nodes.

    Examples
    --------
    Two strings of 4 ohm at the end of a run of 1 ohm, on 12 V behind 1 ohm:

    >>> nodes, strings = np.array([-1, 0]), np.array([1, 1])
    >>> net = TreeNetwork(nodes, np.array([0.0, 1.0]), np.array([0, 0]), strings, np.zeros(2),
    ...                   np.ones((2, 1), dtype=bool), np.zeros(1), SupplyArrays.plain(12.0, 1.0))
    >>> solution = net.solve(np.array([4.0, 4.0]), np.zeros(1, dtype=np.intp), net.emf_V)
    >>> solution.string_A.tolist(), solution.supply_V.tolist()
    ([1.5, 1.5], [9.0])
    """

    parent: Ints
    branch_ohm: Floats
    circuit_of_node: Ints
    string_node: Ints
    string_fixed_ohm: Floats
    string_on: Bools
    drop_V: Floats
    supply: SupplyArrays
    circuit_of_string: Ints = field(init=False)
    _levels: list[_Level] = field(init=False)
    _string_order: Ints = field(init=False)
    _string_heads: Ints = field(init=False)
    _string_head_nodes: Ints = field(init=False)
    _roots: int = field(init=False)

    def __attrs_post_init__(self) -> None:
        self.circuit_of_string = self.circuit_of_node[self.string_node]
        self._levels = _levels(self.parent)
        self._roots = int(np.count_nonzero(self.parent < 0))
        self._string_order = np.argsort(self.string_node, kind="stable")
        nodes = self.string_node[self._string_order]
        self._string_heads, self._string_head_nodes = _heads(nodes)

    @classmethod
    def in_any_order(
        cls,
        *,
        parent: Ints,
        branch_ohm: Floats,
        circuit_of_node: Ints,
        string_node: Ints,
        string_fixed_ohm: Floats,
        string_on: Bools,
        drop_V: Floats,
        supply: SupplyArrays,
    ) -> tuple[TreeNetwork, Ints]:
        """Make a forest of nodes that stand in any order; returns each node's place in it, too.

        Roots must stand in the order of their circuits. `ValueError` if the nodes form no forest.
        """
        order = order_nodes(parent)
        place = np.empty_like(order)
        place[order] = np.arange(order.size)
        above = parent[order]
        network = cls(
            parent=np.where(above < 0, -1, place[above]),
            branch_ohm=branch_ohm[order],
            circuit_of_node=circuit_of_node[order],
            string_node=place[string_node],
            string_fixed_ohm=string_fixed_ohm,
            string_on=string_on,
            drop_V=drop_V,
            supply=supply,
        )
        return network, place

    @property
    def circuit_of_branch(self) -> Ints:
        """Circuit of each node's branch."""
        return self.circuit_of_node

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
        string_ohm : array, shape (strings,)
            Sum of the bridges of each string; ``inf`` where open.
        segment : int array, shape (circuits,)
        emf_V : array, shape (circuits,)

        Returns
        -------
        Solution
            ``branch_A`` is per node: the current that enters it.
        """
        on = self.string_on[np.arange(self.string_node.size), segment[self.circuit_of_string]]
        total_ohm = np.maximum(self.string_fixed_ohm + string_ohm, LEAST_OHM)
        conductance = np.where(on, 1.0 / total_ohm, 0.0)
        load = np.zeros(self.parent.size)
        if conductance.size:
            load[self._string_head_nodes] = np.add.reduceat(
                conductance[self._string_order], self._string_heads
            )
        seen = np.empty_like(load)
        for level in reversed(self._levels):
            here = slice(level.start, level.stop)
            seen[here] = load[here] / (1.0 + self.branch_ohm[here] * load[here])
            load[level.head_parents] += np.add.reduceat(seen[here], level.heads)
        roots = slice(0, self._roots)
        output_V, current_A, limited = operating_point(self.supply, emf_V, load[roots], self.drop_V)
        voltage = np.empty_like(load)
        branch_A = np.empty_like(load)
        voltage[roots] = np.maximum(output_V - self.drop_V, 0.0)
        branch_A[roots] = current_A
        for level in self._levels:
            here = slice(level.start, level.stop)
            branch_A[here] = voltage[level.parents] * seen[here]
            voltage[here] = voltage[level.parents] - branch_A[here] * self.branch_ohm[here]
        string_A = voltage[self.string_node] * conductance
        return Solution(string_A, branch_A, current_A, output_V, limited)

    def take(self, circuits: Ints) -> TreeNetwork:
        """The same forest with only some circuits (rising indexes)."""
        number = np.full(self._roots, -1, dtype=np.intp)
        number[circuits] = np.arange(circuits.size)
        keep = number[self.circuit_of_node] >= 0
        renumber = np.cumsum(keep) - 1
        parent = self.parent[keep]
        strings = number[self.circuit_of_string] >= 0
        return TreeNetwork(
            parent=np.where(parent < 0, -1, renumber[parent]),
            branch_ohm=self.branch_ohm[keep],
            circuit_of_node=number[self.circuit_of_node[keep]],
            string_node=renumber[self.string_node[strings]],
            string_fixed_ohm=self.string_fixed_ohm[strings],
            string_on=self.string_on[strings],
            drop_V=self.drop_V[circuits],
            supply=self.supply.take(circuits),
        )


def order_nodes(parent: Ints) -> Ints:
    """Order nodes by depth, then by the place of their parents in that order.

    Parameters
    ----------
    parent : int array
        Parent of each node in any order, -1 for roots.

    Returns
    -------
    int array
        Old indexes in new order.

    Raises
    ------
    ValueError
        If the nodes do not form a forest.

    Examples
    --------
    >>> order_nodes(np.array([2, 0, -1])).tolist()
    [2, 0, 1]
    """
    placed = np.full(parent.size, -1, dtype=np.intp)
    current = np.flatnonzero(parent < 0)
    order: list[Ints] = []
    count = 0
    while current.size:
        placed[current] = np.arange(count, count + current.size)
        count += current.size
        order.append(current)
        children = np.flatnonzero((parent >= 0) & (placed < 0) & (placed[parent] >= 0))
        current = children[np.argsort(placed[parent[children]], kind="stable")]
    if count != parent.size:
        raise ValueError("the nodes do not form a forest")
    return np.concatenate(order) if order else np.empty(0, dtype=np.intp)


def _heads(sorted_values: Ints) -> tuple[Ints, Ints]:
    if not sorted_values.size:
        empty = np.empty(0, dtype=np.intp)
        return empty, empty
    new = np.concatenate(([True], sorted_values[1:] != sorted_values[:-1]))
    heads = np.flatnonzero(new)
    return heads, sorted_values[heads]


def _levels(parent: Ints) -> list[_Level]:
    """Depths of an ordered forest below the roots."""
    levels: list[_Level] = []
    start = int(np.count_nonzero(parent < 0))
    first_parent = 0
    while start < parent.size:
        # Nodes of this depth are those whose parents stand in the depth before.
        stop = int(np.searchsorted(parent[start:], start)) + start
        parents = parent[start:stop]
        if stop == start or parents[0] < first_parent:
            raise ValueError("nodes are not ordered by depth and parent")
        heads, head_parents = _heads(parents)
        levels.append(_Level(start, stop, parents, heads, head_parents))
        first_parent, start = start, stop
    return levels
