"""Circuits that have to be drawn together, as plain arrays and numbers: what a draw needs.

A plan holds no part of the show's documents, so that it can be sent to other processes.
"""

from __future__ import annotations

from attrs import frozen

from bridgewire.model.kit import Metal
from bridgewire.physics.laws import IgniterModel, SupplyModel
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.nodal import Topology
from bridgewire.uncertainty.quantities import Quantities


@frozen
class Term:
    """One resistance in series: ``ohm`` times quantities, at the ambient temperature."""

    target: int
    """Node, string or branch that it adds to."""
    ohm: float
    factors: tuple[int, ...]
    metal: Metal | None = None
    """Where it is a conductor: its resistance goes with the ambient temperature."""


@frozen
class BridgePlan:
    """Where the values of one bridge come from: places of quantities, or numbers."""

    igniter: int
    basis: str
    """Form of the class's heating data, see `bridgewire.physics.igniter_data`."""
    cold_ohm: int
    burn_open: int
    after_ohm: int
    """-1 where it is open once parted."""
    heat_J_per_K: int = -1
    loss_W_per_K: int = -1
    lit_C: int = -1
    threshold_A: int = -1
    tau_s: int = -1
    impulse: int = -1
    """Where in the range that the data sheet allows an igniter's impulse is: z itself."""
    alpha_per_K: float = 0.0
    sheet: tuple[float, float, float, float] | None = None
    """Data-sheet forms: all-fire current, its time, least and typical impulse (A² s)."""
    sheet_top: float = 0.0
    """Largest impulse that the sheet allows at any threshold, A² s."""
    model: IgniterModel | None = None
    parameters: tuple[tuple[str, float], ...] = ()


@frozen(eq=False)
class ComponentPlan:
    """Ways that are followed together."""

    parent: Ints
    string_node: Ints
    bridge_string: Ints
    node_terms: tuple[Term, ...]
    string_terms: tuple[Term, ...]
    bridges: tuple[BridgePlan, ...]


@frozen
class SupplyPlan:
    """A box's supply: places of quantities, -1 where it has none."""

    emf_V: int
    internal_ohm: int
    drop_V: int
    limit_A: int = -1
    short_circuit_A: int = -1
    capacitance_F: int = -1
    recharge_s: int = -1
    ambient_C: int = -1
    cold: tuple[tuple[float, float], ...] = ()
    """Temperature, and factor of the internal resistance."""
    model: SupplyModel | None = None
    parameters: tuple[tuple[str, float], ...] = ()


@frozen(eq=False)
class FiringPlan:
    """One firing of a component."""

    component: int
    nodes: Ints
    strings: Ints
    bridges: Ints
    """Which of the component's take part."""
    on: Bools
    """Shape (strings, segments)."""
    boundaries_s: Floats
    start_s: float
    end_s: float
    supply: SupplyPlan
    fall_V: float
    """How far the source voltage has fallen by charge used (deterministic)."""
    after: int = -1
    """The firing before it on a capacitor that may not be full again, -1 for none."""
    topology: Topology | None = None
    """Where the network is no tree."""
    branch_terms: tuple[Term, ...] = ()


@frozen
class PulsePlan:
    """A pulse of a cue: its firing, and its start and end from the firing's start, s."""

    firing: int
    start_s: float
    end_s: float


@frozen
class CuePlan:
    """What counts as success of one cue."""

    cue: int
    switch_s: float
    pulses: tuple[PulsePlan, ...]
    component: int
    igniters: tuple[int, ...]
    """Index in the show of each igniter entry that it means to light and that is on its way."""
    bridges: tuple[tuple[int, ...], ...]
    """The bridges of each entry, in the component."""
    spread_s: float | None = None
    """Limit of the spread; None where there is none to judge."""


@frozen(eq=False)
class Plan:
    """Circuits whose draws depend on one another, with their firings in order of time."""

    quantities: Quantities
    components: tuple[ComponentPlan, ...]
    firings: tuple[FiringPlan, ...]
    cues: tuple[CuePlan, ...]
    site_ambient_C: int
    """Place of the quantity."""

    @property
    def bridges(self) -> int:
        """How many there are; a measure of the work."""
        return sum(f.bridges.size for f in self.firings)
