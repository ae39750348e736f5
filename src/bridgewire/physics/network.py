"""What the transient solver asks of a network, whatever its shape."""

from __future__ import annotations

from typing import Protocol, TypeAlias

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.intp]
Bools: TypeAlias = NDArray[np.bool_]

LEAST_OHM = 1e-7
"""Branches and strings below this resistance are taken as this resistance."""


@frozen(eq=False)
class Solution:
    """One resistive solution of a batch of circuits.

    Parameters
    ----------
    string_A : array, shape (strings,)
        Current in each string of igniters, positive from feed to return, A.
    branch_A : array, shape (branches,)
        Current in each branch (tree: from a node's parent into the node), A.
    supply_A, supply_V : array, shape (circuits,)
        Current (A) and voltage (V) at the supply's terminals.
    limited : bool array, shape (circuits,)
        Whether the supply's limit is in force.

    Examples
    --------
    >>> one = np.array([0.5])
    >>> Solution(one, one, one, 20 * one, one > 1.0).supply_V.tolist()
    [10.0]
    """

    string_A: Floats
    branch_A: Floats
    supply_A: Floats
    supply_V: Floats
    limited: Bools


class Network(Protocol):
    """A batch of resistive circuits with strings of igniters as their loads.

    A *string* is one or more bridges in series; strings on one terminal are in parallel. A
    *segment* is a span of time during which the same ways are switched on.

    See Also
    --------
    bridgewire.physics.tree.TreeNetwork : Trees, in linear time.
    bridgewire.physics.nodal.NodalNetwork : What is no tree.

    Examples
    --------
    >>> from bridgewire.physics.supply import SupplyArrays
    >>> from bridgewire.physics.tree import TreeNetwork
    >>> one, none = np.ones(1), np.zeros(1, dtype=np.intp)
    >>> net: Network = TreeNetwork(np.array([-1]), 0 * one, none, none, 0 * one,
    ...                            np.ones((1, 1), dtype=bool), 0 * one,
    ...                            SupplyArrays.plain(12.0, 1.0))
    >>> float(net.solve(np.array([5.0]), none, net.emf_V).string_A[0])
    2.0
    """

    @property
    def circuit_of_string(self) -> Ints:
        """Circuit of each string; strings of one circuit stand together, circuits rising."""

    @property
    def circuit_of_branch(self) -> Ints:
        """Circuit of each branch of ``Solution.branch_A``."""

    @property
    def capacitance_F(self) -> Floats:
        """Storage capacitor of each circuit's supply; ``inf`` for none."""

    @property
    def emf_V(self) -> Floats:
        """Source voltage of each circuit at the start."""

    def solve(self, string_ohm: Floats, segment: Ints, emf_V: Floats) -> Solution:
        """Currents for given string resistances (``inf`` = open), segments and source voltages."""

    def take(self, circuits: Ints) -> Network:
        """The same network with only some circuits, in rising order."""
