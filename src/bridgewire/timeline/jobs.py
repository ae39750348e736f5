"""Which ways have to be followed together, and the state that firings hand on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import TypeAlias

import numpy as np
from attrs import define, field

from bridgewire.circuit.elements import Missing
from bridgewire.circuit.layout import WayKey
from bridgewire.circuit.mesh import Mesh
from bridgewire.circuit.supplies import SupplyData
from bridgewire.circuit.ways import WayCircuit
from bridgewire.physics.laws import FaultLog
from bridgewire.physics.network import Bools, Floats
from bridgewire.timeline.charge import Volts
from bridgewire.timeline.corners import Component, Values
from bridgewire.timeline.schedule import Firing, Schedule

Supplies: TypeAlias = Mapping[str, tuple[SupplyData | None, tuple[Missing, ...]]]
"""Box id -> its supply (None where it cannot be computed) and what is missing."""


@define(eq=False)
class State:
    """State of a component's bridges in every scenario."""

    component: Component
    values: Values
    x: Floats
    lit: Bools
    parted: Bools
    after_ohm: Floats
    time_s: float = field(default=0.0)
    """End of the last firing."""

    def cool_until(self, firing: Firing) -> None:
        """Let the bridges cool up to the start of a firing, and set the clock to its end."""
        gap = max(firing.start_s - self.time_s, 0.0)
        self.x *= np.exp(-gap / self.values.tau_s)
        self.time_s = firing.end_s


@define(eq=False)
class Job:
    """One firing to be solved."""

    firing: Firing
    state: State
    mesh: Mesh | None
    emf_V: Volts
    """Open-circuit voltage at the start."""
    used_C: float
    faults: FaultLog
    """Where unusable answers of models are noted."""
    follows: Job | None = None
    """The firing before it on a capacitor that may not be full again by then."""


def components_of(
    schedule: Schedule,
    ways: dict[WayKey, WayCircuit],
    unknown: dict[WayKey, tuple[Missing, ...]],
    quick_cues: set[int],
    only_ways: Collection[WayKey] | None,
) -> dict[WayKey, State]:
    """Ways that share a firing belong together."""
    leader: dict[WayKey, WayKey] = {}

    def find(key: WayKey) -> WayKey:
        while leader.setdefault(key, key) != key:
            key = leader[key]
        return key

    quick_ways: set[WayKey] = set()
    for firing in schedule.firings:
        for key in firing.ways:
            leader[find(key)] = find(firing.ways[0])
        quick_ways.update(p.way for p in firing.pulses if p.cue in quick_cues)
    members: dict[WayKey, list[WayKey]] = defaultdict(list)
    for key in leader:
        members[find(key)].append(key)
    states: dict[WayKey, State] = {}
    for group in members.values():
        if any(k in unknown for k in group) or all(not ways[k].strings for k in group):
            continue
        if only_ways is not None and not any(k in only_ways for k in group):
            continue
        component = Component(
            tuple(ways[k] for k in group if ways[k].strings), any(k in quick_ways for k in group)
        )
        values = component.values()
        shape = values.bridge_ohm.shape
        state = State(
            component,
            values,
            np.zeros(shape),
            np.zeros(shape, dtype=bool),
            np.zeros(shape, dtype=bool),
            values.after_ohm.copy(),
        )
        states.update(dict.fromkeys(group, state))
    return states
