"""What one firing did in every scenario."""

from __future__ import annotations

from attrs import define

from bridgewire.circuit.mesh import Mesh
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.outcome import Snapshot
from bridgewire.timeline.charge import Volts
from bridgewire.timeline.corners import Component
from bridgewire.timeline.schedule import Firing


@define(eq=False)
class FiringResult:
    """One firing in all scenarios. First axis of arrays: scenario; second: bridge of `component`.

    Times count from the start of the firing, s.
    """

    firing: Firing
    component: Component
    bridges: Ints
    """Bridges of the component that take part, one for each column of the arrays."""
    columns: dict[int, int]
    """Bridge of the component -> column."""
    tau_s: Floats
    light_s: Floats
    part_s: Floats
    light_A: Floats
    light_u: Floats
    peak_x: Floats
    peak_A: Floats
    lit_before: Bools
    parted_before: Bools
    lit_after: Bools
    parted_after: Bools
    peak_supply_A: Floats
    lowest_supply_V: Floats
    limited: Bools
    charge_C: Floats
    emf_V: Volts
    """Open-circuit voltage at the start."""
    end_V: Volts
    """The same at the end; lower than at the start for a capacitor."""
    used_before_C: float
    peak_branch_A: Floats
    """Shape (scenarios, branches)."""
    mesh: Mesh | None
    strings: dict[int, tuple[int, int]]
    """String of the component -> (its place in the firing, its way's place in `ways`)."""
    snapshots: dict[int, Snapshot]
    """Bridge -> typical currents at its ignition, or at the end of its pulse."""
