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
    """One resistive solution of a batch of circuits."""

    string_A: Floats
    """Current in each string of igniters, positive from feed to return."""
    branch_A: Floats
    """Current in each branch (tree: from a node's parent into the node)."""
    supply_A: Floats
    supply_V: Floats
    """At the supply's terminals, per circuit."""
    limited: Bools
    """Whether the supply's limit is in force, per circuit."""


class Network(Protocol):
    """A batch of resistive circuits with strings of igniters as their loads.

    A *string* is one or more bridges in series; strings on one terminal are in parallel. A
    *segment* is a span of time during which the same ways are switched on.
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
