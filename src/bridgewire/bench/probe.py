"""What a resistance meter sees of one way from one place: a tree, or a network of nodes."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from attrs import evolve, field, frozen

from bridgewire.circuit.elements import Element, Missing
from bridgewire.circuit.layout import Layout, Part, WayKey
from bridgewire.circuit.mesh import build_mesh, needs_mesh, ways_involved
from bridgewire.circuit.ways import CircuitBuilder, WayCircuit
from bridgewire.model.band import Band
from bridgewire.model.kit import PathMap, StripKind
from bridgewire.physics.network import LEAST_OHM, Floats

BOX = "box"
"""The place at the plug of an output, with the box unplugged."""
ZERO = Band(0.0, 0.0, 0.0)


@frozen(eq=False)
class ProbeNode:
    """A node of the tree that a meter looks into; node 0 is where the meter is."""

    parent: int
    part: str
    """Id of the strip or splitter that it belongs to."""
    elements: tuple[Element, ...]
    """Between this node and its parent."""
    terminal: bool = False
    """Whether it is the terminal of the way on a strip, where strings hang."""


@frozen(eq=False)
class ProbeString:
    """Igniters in series: leads and bridges."""

    node: int
    elements: tuple[Element, ...]
    bridges: tuple[int, ...]
    """Places in ``WayCircuit.bridge_igniter``."""


@frozen(eq=False)
class Probe:
    """One way seen from one place.

    Attributes
    ----------
    nodes : tuple of ProbeNode
        Each after its parent. Empty where the circuit is no tree, see `ProbeMesh`.
    strings : tuple of ProbeString
    """

    way: WayKey
    place: str
    nodes: tuple[ProbeNode, ...]
    strings: tuple[ProbeString, ...]
    diode: bool = False
    """Whether the meter's current has to pass a diode."""

    def node_ohm(self) -> Floats:
        """Loop resistance of each node's branch: shape (3, nodes), min, typical, max."""
        return np.array([_sum(n.elements) for n in self.nodes]).T.reshape(3, -1)

    def lead_ohm(self) -> Floats:
        """Resistance of each string without its bridges: shape (3, strings)."""
        return np.array([_sum(s.elements) for s in self.strings]).reshape(-1, 3).T

    def seen_ohm(self, node_ohm: Floats, string_ohm: Floats) -> Floats:
        """Resistance between the meter's probes.

        Parameters
        ----------
        node_ohm : array, shape (..., nodes)
            Of each node's branch.
        string_ohm : array, shape (..., strings)
            Of each whole string; ``inf`` where it is open.

        Returns
        -------
        array, shape (...)
            Ohm; ``inf`` where no string conducts.
        """
        shape = np.broadcast_shapes(node_ohm.shape[:-1], string_ohm.shape[:-1])
        load = [np.zeros(shape) for _ in self.nodes]
        for i, string in enumerate(self.strings):
            load[string.node] = load[string.node] + 1.0 / np.maximum(string_ohm[..., i], LEAST_OHM)
        for n in range(len(self.nodes) - 1, 0, -1):
            here = load[n] / (1.0 + node_ohm[..., n] * load[n])
            load[self.nodes[n].parent] = load[self.nodes[n].parent] + here
        with np.errstate(divide="ignore"):
            out: Floats = 1.0 / load[0]
        return out


@frozen(eq=False)
class ProbeMesh:
    """One way of a matrix without diodes, seen from one place.

    `low_ohm` and `high_ohm` bound each branch from below and above: they differ in more than
    tolerances where the meter's place is not a node of the circuit.
    """

    nodes: int
    ends: np.ndarray = field(repr=False)
    low_ohm: Floats
    typical_ohm: Floats
    high_ohm: Floats
    string_ends: np.ndarray
    string_low: Floats
    string_typical: Floats
    string_high: Floats
    """Leads of each string."""
    string_bridges: tuple[tuple[WayKey, tuple[int, ...]], ...]
    at: tuple[int, int]

    def seen_ohm(self, branch_ohm: Floats, string_ohm: Floats) -> float:
        """Resistance between the meter's probes; ``inf`` where nothing connects them.

        Parameters
        ----------
        branch_ohm : array, shape (branches,)
            ``inf`` where a branch is cut.
        string_ohm : array, shape (strings,)
        """
        conductance = np.concatenate(
            [1.0 / np.maximum(branch_ohm, LEAST_OHM), 1.0 / np.maximum(string_ohm, LEAST_OHM)]
        )
        ends = np.concatenate([self.ends, self.string_ends])
        keep = conductance > 0.0
        reached = _reached(ends[keep], self.at[0], self.nodes)
        if not reached[self.at[1]]:
            return float("inf")
        keep &= reached[ends[:, 0]]
        number = np.full(self.nodes, -1)
        kept_nodes = np.flatnonzero(reached)
        number[kept_nodes] = np.arange(kept_nodes.size)
        a, b = number[ends[keep, 0]], number[ends[keep, 1]]
        c = conductance[keep]
        matrix = np.zeros((kept_nodes.size, kept_nodes.size))
        np.add.at(matrix, (a, a), c)
        np.add.at(matrix, (b, b), c)
        np.add.at(matrix, (a, b), -c)
        np.add.at(matrix, (b, a), -c)
        ground = number[self.at[1]]
        rest = [i for i in range(kept_nodes.size) if i != ground]
        side = np.zeros(kept_nodes.size)
        side[number[self.at[0]]] = 1.0
        volts = np.linalg.solve(matrix[np.ix_(rest, rest)], side[rest])
        return float(volts[rest.index(int(number[self.at[0]]))])


def _reached(ends: np.ndarray, start: int, nodes: int) -> np.ndarray:
    reached = np.zeros(nodes, dtype=bool)
    reached[start] = True
    while True:
        grown = reached.copy()
        grown[ends[reached[ends[:, 0]], 1]] = True
        grown[ends[reached[ends[:, 1]], 0]] = True
        if np.array_equal(grown, reached):
            return reached
        reached = grown


def _sum(elements: Collection[Element]) -> tuple[float, float, float]:
    total = ZERO
    for e in elements:
        total = total.plus(e.feed_ohm).plus(e.return_ohm)
    return total.min, total.typical, total.max


def strips_of_way(layout: Layout, key: WayKey) -> tuple[Part, ...]:
    """Strips that carry a way and have igniters of it, on them or beyond them."""
    useful: set[str] = set()
    for p in layout.by_way.get(key, ()):
        part: Part | None = p.part
        while part is not None and part.id not in useful:
            useful.add(part.id)
            part = part.parent
    return tuple(
        strip
        for strip in layout.strips_on_output.get(key[:2], ())
        if strip.id in useful and carries(strip, key[2])
    )


def carries(strip: Part, way: int) -> bool:
    """Whether a strip has a terminal of a way."""
    return (
        isinstance(strip.kind, StripKind)
        and strip.first_way <= way < strip.first_way + strip.kind.ways
    )


def _at_box(circuit: WayCircuit, layout: Layout) -> list[tuple[Element, ...]]:
    """Elements of all branches for a meter at the plug of the output.

    The mated pair at the output counts from nothing (probes on the plug's pins) to its whole
    band (through a mating connector); the switch is in the box.
    """
    out: list[tuple[Element, ...]] = []
    for node in circuit.nodes:
        part = layout.parts.get(node.part)
        first = node.elements[0] if node.elements else None
        if part is None or part.parent is not None or first is None or part.run is None:
            out.append(() if part is None else node.elements)
        elif first.label == f"contact at {layout.show.run[part.run].from_}":
            out.append((_from_nothing(first), *node.elements[1:]))
        else:
            out.append(node.elements)
    return out


def _from_nothing(e: Element) -> Element:
    return evolve(
        e,
        feed_ohm=Band(0.0, e.feed_ohm.typical, e.feed_ohm.max),
        return_ohm=Band(0.0, e.return_ohm.typical, e.return_ohm.max),
    )


def tree_probe(builder: CircuitBuilder, key: WayKey, place: str) -> Probe:
    """One way of an output as a tree, seen from the box or a strip.

    At a strip the strip's inlet is unplugged and the probes are on the metal of the terminal: the
    igniters there are behind the clamp, whatever is wired onward behind the strip's track. A
    diode of a matrix bars the way from a terminal to its track, so there only the terminal's own
    igniters are seen; from the box every path leads through a diode.

    Parameters
    ----------
    builder : CircuitBuilder
    key : WayKey
    place : str
        ``box`` or the id of a strip that carries the way.
    """
    circuit, layout = builder.way(key), builder.layout
    path = layout.boxes[key[0]][1].path
    if place == BOX:
        nodes = [
            ProbeNode(n.parent, n.part, e, _is_terminal(circuit, i))
            for i, (n, e) in enumerate(zip(circuit.nodes, _at_box(circuit, layout), strict=True))
        ]
        strings = [ProbeString(s.node, s.elements, s.bridges) for s in circuit.strings]
        return Probe(key, place, tuple(nodes), tuple(strings), path.diode is not None)
    return _strip_probe(circuit, layout, builder, key, layout.parts[place], path)


def _is_terminal(circuit: WayCircuit, node: int) -> bool:
    parent = circuit.nodes[node].parent
    return parent >= 0 and circuit.nodes[parent].part == circuit.nodes[node].part


def _strip_probe(
    circuit: WayCircuit,
    layout: Layout,
    builder: CircuitBuilder,
    key: WayKey,
    strip: Part,
    path: PathMap,
) -> Probe:
    root = next(
        (
            i
            for i, n in enumerate(circuit.nodes)
            if n.part == strip.id and not _is_terminal(circuit, i)
        ),
        None,
    )
    nodes = [ProbeNode(-1, strip.id, ())]
    place: dict[int, int] = {}
    own = [
        i for i, n in enumerate(circuit.nodes) if n.part == strip.id and _is_terminal(circuit, i)
    ]
    if own:
        clamp = tuple(e for e in circuit.nodes[own[0]].elements if e.kind == "contact")
        place[own[0]] = len(nodes)
        nodes.append(ProbeNode(0, strip.id, clamp, terminal=True))
        track = tuple(e for e in circuit.nodes[own[0]].elements if e.kind == "strip")
    else:
        track = ()
        if strip.kind.inner_ohm is not None:
            feed, back = path.feed_conductors, path.return_conductors
            track = (
                Element(
                    "strip",
                    f"strip {strip.id}",
                    strip.path,
                    strip.kind.inner_ohm.scaled(1 / feed),
                    strip.kind.inner_ohm.scaled(1 / back),
                    item=strip.kind_id,
                ),
            )
    if path.diode is None and root is not None:
        beyond: dict[int, int] = {}
        for i, n in enumerate(circuit.nodes):
            if i in own or i <= root:
                continue
            if n.parent == root or n.parent in beyond:
                if not beyond:
                    beyond[root] = len(nodes)
                    nodes.append(ProbeNode(0, strip.id, track))
                beyond[i] = len(nodes)
                nodes.append(
                    ProbeNode(beyond[n.parent], n.part, n.elements, _is_terminal(circuit, i))
                )
        place.update(beyond)
    strings = tuple(
        ProbeString(place[s.node], s.elements, s.bridges)
        for s in circuit.strings
        if s.node in place
    )
    return Probe(key, strip.id, tuple(nodes), strings)


def is_mesh(builder: CircuitBuilder, key: WayKey) -> bool:
    """Whether a way's circuit is no tree: a matrix without diodes."""
    return needs_mesh(builder.layout.boxes[key[0]][1], 1)


def mesh_probe(builder: CircuitBuilder, key: WayKey, place: str) -> ProbeMesh | None:
    """One way of a matrix without diodes, seen from the box or a strip.

    None where the strip has no igniter of the way: its terminal is then no node of the circuit.
    """
    layout = builder.layout
    keys = ways_involved(layout, (key,))
    ways = tuple(builder.way(k) for k in keys)
    if place == BOX:
        at_box: list[WayCircuit] = []
        for way in ways:
            elements = _at_box(way, layout)
            nodes = tuple(evolve(n, elements=e) for n, e in zip(way.nodes, elements, strict=True))
            at_box.append(
                WayCircuit(
                    way.key, nodes, way.strings, way.bridge_igniter, way.bridge_data, way.missing
                )
            )
        ways = tuple(at_box)
    mesh = build_mesh(builder, ways, [{key}])
    ohm = np.where(mesh.topology.branch_on[:, :1], mesh.branch_ohm, np.inf)
    low, typical, high = ohm.T.copy()
    strings = [(w, s) for w in ways for s in w.strings]
    leads = np.array([_sum(s.elements) for _, s in strings])
    lead_low, lead_typical, lead_high = leads.T.copy()
    at = (1, 0)
    if place != BOX:
        part = layout.parts[place]
        for b, inside in enumerate(mesh.branch_elements):
            # Without elements it is a switch of the box.
            if not inside or any(e.path == ("run", part.run) for e, _ in inside):
                low[b] = typical[b] = high[b] = np.inf
        mine = [
            i for i, (w, s) in enumerate(strings) if w.key == key and w.nodes[s.node].part == place
        ]
        if not mine:
            return None
        ends = mesh.topology.string_ends[mine[0]]
        at = (int(ends[0]), int(ends[1]))
        # The probes are between track and clamp, which is one branch here: bound both ways.
        clamp = _sum(
            [
                e
                for e in strings[mine[0]][0].nodes[strings[mine[0]][1].node].elements
                if e.kind == "contact"
            ]
        )
        for b, (_, end) in enumerate(mesh.topology.branch_ends):
            if end == at[0]:
                low[b] -= clamp[0]
                typical[b] -= clamp[1]
        for i in mine:
            lead_typical[i] += clamp[1]
            lead_high[i] += clamp[2]
    return ProbeMesh(
        mesh.topology.nodes,
        mesh.topology.branch_ends,
        low,
        typical,
        high,
        mesh.topology.string_ends,
        lead_low,
        lead_typical,
        lead_high,
        tuple((w.key, s.bridges) for w, s in strings),
        at,
    )


def missing_from(builder: CircuitBuilder, key: WayKey, place: str) -> tuple[Missing, ...]:
    """Values without which the resistance of a way from a place cannot be told."""
    layout = builder.layout
    keys = ways_involved(layout, (key,)) if is_mesh(builder, key) else (key,)
    found: dict[Missing, None] = {}
    for k in keys:
        beyond = None if place == BOX else _upstream(builder, k, place)
        for m in builder.way(k).missing:
            if m.noun == "igniter class" and m.key not in ("bridge_ohm", "lead_ohm"):
                continue
            if m.key == "switch_ohm" or (beyond is not None and m in beyond):
                continue
            found[m] = None
    return tuple(found)


def _upstream(builder: CircuitBuilder, key: WayKey, place: str) -> set[Missing]:
    """What is missing only from parts of a way that are not beyond a strip."""
    layout = builder.layout
    _, kind, kind_id = layout.boxes[key[0]]
    before: set[Missing] = set()
    after: set[Missing] = set()
    for node in builder.way(key).nodes[1:]:
        part = layout.parts[node.part]
        lacks = builder.branch(part, kind, kind_id).missing
        (after if _is_beyond(part, place) else before).update(lacks)
    return before - after


def _is_beyond(part: Part, strip: str) -> bool:
    up = part.parent
    while up is not None:
        if up.id == strip:
            return True
        up = up.parent
    return False
