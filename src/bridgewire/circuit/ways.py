"""The circuit of one way as a tree: elements, terminals, strings and bridges, with tolerances."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from functools import cached_property
from typing import NamedTuple

import numpy as np
from attrs import define, field, frozen

from bridgewire.circuit.elements import (
    Branch,
    BranchBuilder,
    Element,
    Missing,
    run_branch,
    shares,
)
from bridgewire.circuit.layout import Layout, Part, PlacedIgniter, WayKey
from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, IgniterClass, StripKind
from bridgewire.physics.igniter_data import Heating, missing_heating_data
from bridgewire.physics.igniter_data import heating as derive_heating
from bridgewire.physics.laws import FaultLog, IgniterModel
from bridgewire.physics.network import Floats


class AfterOhm(NamedTuple):
    """Resistance of a bridge once parted, ohm; inf where it is open."""

    min: float
    typical: float
    max: float


OPEN = AfterOhm(math.inf, math.inf, math.inf)


@frozen
class BridgeData:
    """What the solver needs of an igniter class at site temperature."""

    bridge_ohm: Band
    rise_per_x: float
    heating: Heating
    burn_open: Band
    after_ohm: AfterOhm
    model: IgniterModel | None = None
    parameters: Mapping[str, float] = field(factory=dict)


@frozen
class WayNode:
    """A node of a way's tree: a part, or a terminal of a strip."""

    parent: int
    part: str
    elements: tuple[Element, ...]
    """Between this node and its parent."""


@frozen
class WayString:
    """Igniters in series on a terminal."""

    node: int
    elements: tuple[Element, ...]
    """Leads, in series with the bridges."""
    bridges: tuple[int, ...]
    """Places in ``WayCircuit.bridge_igniter``."""


@define(eq=False)
class WayCircuit:
    """One way's circuit. `missing` is empty where it can be computed."""

    key: WayKey
    nodes: tuple[WayNode, ...]
    """Node 0 is the way's switch; each node stands after its parent."""
    strings: tuple[WayString, ...]
    bridge_igniter: tuple[int, ...]
    """Index in the show of the igniter entry that each bridge belongs to, by string."""
    bridge_data: tuple[BridgeData | None, ...]
    missing: tuple[Missing, ...]

    @cached_property
    def node_ohm(self) -> Floats:
        """Loop resistance of each node's branch: shape (nodes, 3), min, typical, max."""
        return np.array([_sum_ohm(n.elements) for n in self.nodes])

    @cached_property
    def string_ohm(self) -> Floats:
        """Lead resistance of each string: shape (strings, 3)."""
        return np.array([_sum_ohm(s.elements) for s in self.strings]).reshape(-1, 3)

    def path_to(self, string: int) -> list[int]:
        """Nodes from the string's terminal to node 0."""
        node = self.strings[string].node
        path = [node]
        while node:
            node = self.nodes[node].parent
            path.append(node)
        return path


def _sum_ohm(elements: tuple[Element, ...]) -> tuple[float, float, float]:
    total = [0.0, 0.0, 0.0]
    for e in elements:
        f, r = e.feed_ohm, e.return_ohm
        total[0] += f.min + r.min
        total[1] += f.typical + r.typical
        total[2] += f.max + r.max
    return total[0], total[1], total[2]


class CircuitBuilder:
    """Builds way circuits of a layout, sharing what they have in common."""

    def __init__(self, layout: Layout, ambient_C: Band) -> None:
        self.layout = layout
        self.ambient_C = ambient_C
        self._branches: dict[tuple[str, str], Branch] = {}
        self._classes: dict[str, tuple[BridgeData | None, tuple[Missing, ...]]] = {}
        self._ways: dict[WayKey, WayCircuit] = {}
        self.faults = FaultLog()
        """Unusable answers of models, over all runs on these circuits."""

    def branch(self, part: Part, kind: BoxKind, kind_id: str) -> Branch:
        """Elements between a part and what feeds it."""
        key = (part.id, kind_id)
        if key not in self._branches:
            self._branches[key] = run_branch(self.layout, part, kind, kind_id, self.ambient_C)
        return self._branches[key]

    def way(self, key: WayKey) -> WayCircuit:
        """The circuit of one way; only parts on the way to its igniters are in it."""
        if key not in self._ways:
            self._ways[key] = self._build(key)
        return self._ways[key]

    def _build(self, key: WayKey) -> WayCircuit:
        placed = self.layout.by_way.get(key, [])
        _, kind, kind_id = self.layout.boxes[key[0]]
        missing: list[Missing] = []
        nodes = [WayNode(-1, key[0], self._switch(key, kind, kind_id, missing))]
        place: dict[str, int] = {}
        for part in self._parts_needed(placed):
            branch = self.branch(part, kind, kind_id)
            missing.extend(branch.missing)
            parent = 0 if part.parent is None else place[part.parent.id]
            place[part.id] = len(nodes)
            nodes.append(WayNode(parent, part.id, branch.elements))
        strings: list[WayString] = []
        owners: list[int] = []
        data: list[BridgeData | None] = []
        by_part: dict[str, list[PlacedIgniter]] = defaultdict(list)
        for p in placed:
            by_part[p.part.id].append(p)
        for part_id, group in by_part.items():
            branch = self._terminal(group[0].part, key, kind, kind_id)
            missing.extend(branch.missing)
            nodes.append(WayNode(place[part_id], part_id, branch.elements))
            self._strings(group, len(nodes) - 1, strings, owners, data, missing)
        unique = tuple(dict.fromkeys(missing))
        return WayCircuit(key, tuple(nodes), tuple(strings), tuple(owners), tuple(data), unique)

    @staticmethod
    def _parts_needed(placed: list[PlacedIgniter]) -> list[Part]:
        needed: dict[str, Part] = {}
        for p in placed:
            part: Part | None = p.part
            while part is not None and part.id not in needed:
                needed[part.id] = part
                part = part.parent
        return sorted(needed.values(), key=lambda q: q.depth)

    def _switch(
        self, key: WayKey, kind: BoxKind, kind_id: str, missing: list[Missing]
    ) -> tuple[Element, ...]:
        if kind.switch_ohm is None:
            missing.append(
                Missing(
                    f"kit:{kind_id.split(':')[0]}",
                    kind_id,
                    "box",
                    "switch_ohm",
                    f"the resistance of the switch of box {key[0]!r}",
                )
            )
            return ()
        index = self.layout.boxes[key[0]][0]
        zero = Band(0.0, 0.0, 0.0)
        return (
            Element(
                "switch", f"switch of {key[0]}", ("box", index), kind.switch_ohm, zero, item=kind_id
            ),
        )

    def _terminal(self, strip: Part, key: WayKey, kind: BoxKind, kind_id: str) -> Branch:
        """Inside of the strip, its terminal's two contacts, and the way's diode slope."""
        build = BranchBuilder(self.layout.catalogue, self.ambient_C)
        build.inner(strip, *shares(kind.path, 1))
        assert isinstance(strip.kind, StripKind)
        build.contact(
            strip.kind_id,
            "strip",
            strip.kind.terminal_contact,
            "terminal_contact",
            "at terminal",
            f"{strip.id}/{key[2]}",
            strip.path,
            1,
            1,
        )
        if kind.path.diode is not None:
            zero = Band(0.0, 0.0, 0.0)
            build.elements.append(
                Element(
                    "diode",
                    f"diode of way {key[2]} at {strip.id}",
                    strip.path,
                    kind.path.diode.slope_ohm,
                    zero,
                    item=kind_id,
                )
            )
        return build.done()

    def _strings(
        self,
        group: list[PlacedIgniter],
        node: int,
        strings: list[WayString],
        owners: list[int],
        data: list[BridgeData | None],
        missing: list[Missing],
    ) -> None:
        """Sort the igniters of one terminal into series strings."""
        chains: dict[str, list[PlacedIgniter]] = defaultdict(list)
        for p in group:
            if p.igniter.string is not None:
                chains[f"s:{p.igniter.string}"].append(p)
            elif p.igniter.count > 1 and p.igniter.connection == "parallel":
                for n in range(p.igniter.count):
                    chains[f"p:{p.index}:{n}"].append(p)
            else:
                chains[f"o:{p.index}"].append(p)
        for chain in chains.values():
            elements: list[Element] = []
            bridges: list[int] = []
            for p in chain:
                bridge, lacks = self.bridge_data(p)
                missing.extend(lacks)
                leads = self._leads(p)
                missing.extend(leads.missing)
                elements.extend(leads.elements)
                in_series = p.igniter.count if p.igniter.connection == "series" else 1
                if p.igniter.string is not None:
                    in_series = p.igniter.count
                for _ in range(in_series):
                    elements.extend(self._own_leads(p))
                    bridges.append(len(owners))
                    owners.append(p.index)
                    data.append(bridge)
            strings.append(WayString(node, tuple(elements), tuple(bridges)))

    def _own_leads(self, p: PlacedIgniter) -> tuple[Element, ...]:
        if p.klass.lead_ohm is None:
            return ()
        zero = Band(0.0, 0.0, 0.0)
        return (
            Element("lead", f"leads of {p.id}", p.path, p.klass.lead_ohm, zero, item=p.class_id),
        )

    def _leads(self, p: PlacedIgniter) -> Branch:
        """The extra lead between terminal and igniter."""
        build = BranchBuilder(self.layout.catalogue, self.ambient_C)
        if p.igniter.extra_lead_m is not None:
            ref = p.igniter.lead_cable
            spec = None if ref is None else self.layout.catalogue.cables.get(ref)
            if spec is None or ref is None:
                build.missing.append(
                    Missing(
                        "show",
                        p.id,
                        "igniter",
                        "lead_cable",
                        f"the resistance of the extra lead of {p.id!r}",
                    )
                )
            else:
                full = self.layout.catalogue.cables.full_id(ref) or ref
                build.cable(
                    spec,
                    full,
                    p.igniter.extra_lead_m,
                    "extra lead of",
                    p.id,
                    p.path,
                    1,
                    1,
                    "lead",
                )
        return build.done()

    def bridge_data(self, p: PlacedIgniter) -> tuple[BridgeData | None, tuple[Missing, ...]]:
        """The solver's data of an igniter's class, or what is missing for them."""
        if p.class_id not in self._classes:
            self._classes[p.class_id] = self._class_data(p.klass, p.class_id)
        return self._classes[p.class_id]

    def _class_data(
        self, klass: IgniterClass, class_id: str
    ) -> tuple[BridgeData | None, tuple[Missing, ...]]:
        keys = list(missing_heating_data(klass))
        keys += [
            k
            for k in ("bridge_ohm", "lead_ohm", "burn_open", "after_fire")
            if getattr(klass, k) is None and k not in keys
        ]
        if klass.after_fire in ("shorted", "residual") and klass.after_fire_ohm is None:
            keys.append("after_fire_ohm")
        model = None
        if klass.model is not None:
            model = self.layout.models.igniters.get(klass.model)
            if model is None:
                keys.append(f"model {klass.model}")
            else:
                keys += [f"parameters.{k}" for k in model.parameters if k not in klass.parameters]
        heating = None
        if not keys:
            try:
                heating = derive_heating(klass, self.ambient_C)
            except ModelRangeError:
                keys.append("consistent heating data")
        lacks = tuple(
            Missing(
                f"kit:{class_id.split(':')[0]}",
                class_id,
                "igniter class",
                key,
                f"whether igniters of class {class_id!r} light",
            )
            for key in keys
        )
        if lacks or heating is None or klass.bridge_ohm is None or klass.burn_open is None:
            return None, lacks
        after = OPEN
        if klass.after_fire != "open" and klass.after_fire_ohm is not None:
            rest = klass.after_fire_ohm
            after = AfterOhm(rest.min, rest.typical, rest.max)
        rise = klass.alpha_per_K * (heating.theta_lit_K.typical if heating.theta_lit_K else 0.0)
        data = BridgeData(
            klass.bridge_ohm, rise, heating, klass.burn_open, after, model, klass.parameters
        )
        return data, ()
