"""What a resistance meter sees of one way from one place, where that is a tree."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from attrs import evolve, frozen

from bridgewire.circuit.elements import Element
from bridgewire.circuit.layout import Layout, Part, WayKey
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
    """One way seen from one place."""

    way: WayKey
    place: str
    """``box``, or the id of a strip."""
    nodes: tuple[ProbeNode, ...]
    """Each after its parent."""
    strings: tuple[ProbeString, ...]
    diode: bool = False
    """Whether the meter's current has to pass a diode."""

    def node_ohm(self) -> Floats:
        """Loop resistance of each node's branch: shape (3, nodes), min, typical, max."""
        return np.array([total_ohm(n.elements) for n in self.nodes]).T.reshape(3, -1)

    def lead_ohm(self) -> Floats:
        """Resistance of each string without its bridges: shape (3, strings)."""
        return np.array([total_ohm(s.elements) for s in self.strings]).reshape(-1, 3).T

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


def total_ohm(elements: Collection[Element]) -> tuple[float, float, float]:
    """Loop resistance of elements in series, feed plus return: min, typical, max."""
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


def seen_at_box(circuit: WayCircuit, layout: Layout) -> list[tuple[Element, ...]]:
    """Elements of every node's branch for a meter at the plug of the output.

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
            for i, (n, e) in enumerate(
                zip(circuit.nodes, seen_at_box(circuit, layout), strict=True)
            )
        ]
        strings = [ProbeString(s.node, s.elements, s.bridges) for s in circuit.strings]
        return Probe(key, place, tuple(nodes), tuple(strings), path.diode is not None)
    return _strip_probe(circuit, key, layout.parts[place], path)


def _is_terminal(circuit: WayCircuit, node: int) -> bool:
    parent = circuit.nodes[node].parent
    return parent >= 0 and circuit.nodes[parent].part == circuit.nodes[node].part


def _strip_probe(circuit: WayCircuit, key: WayKey, strip: Part, path: PathMap) -> Probe:
    """The way's terminal on a strip, and what is wired onward behind the strip's track."""
    here = [i for i, n in enumerate(circuit.nodes) if n.part == strip.id]
    own = next((i for i in here if _is_terminal(circuit, i)), None)
    root = next((i for i in here if not _is_terminal(circuit, i)), None)
    nodes = [ProbeNode(-1, strip.id, ())]
    place: dict[int, int] = {}
    if own is None:
        track = _bare_track(strip, path)
    else:
        of_kind = {
            kind: tuple(e for e in circuit.nodes[own].elements if e.kind == kind)
            for kind in ("contact", "strip")
        }
        place[own] = len(nodes)
        nodes.append(ProbeNode(0, strip.id, of_kind["contact"], terminal=True))
        track = of_kind["strip"]
    if path.diode is None and root is not None:
        place.update(_onward(circuit, nodes, root, own, ProbeNode(0, strip.id, track)))
    strings = tuple(
        ProbeString(place[s.node], s.elements, s.bridges)
        for s in circuit.strings
        if s.node in place
    )
    return Probe(key, strip.id, tuple(nodes), strings)


def _bare_track(strip: Part, path: PathMap) -> tuple[Element, ...]:
    """The inside of a strip on which the way has no igniter, as an element."""
    inner = strip.kind.inner_ohm
    if inner is None:
        return ()
    return (
        Element(
            "strip",
            f"strip {strip.id}",
            strip.path,
            inner.scaled(1 / path.feed_conductors),
            inner.scaled(1 / path.return_conductors),
            item=strip.kind_id,
        ),
    )


def _onward(
    circuit: WayCircuit, nodes: list[ProbeNode], root: int, own: int | None, track: ProbeNode
) -> dict[int, int]:
    """Add what hangs on a strip's inside (node `root`); the place of each of its nodes."""
    place: dict[int, int] = {}
    for i, n in enumerate(circuit.nodes):
        if i == own or i <= root or not (n.parent == root or n.parent in place):
            continue
        if not place:
            place[root] = len(nodes)
            nodes.append(track)
        place[i] = len(nodes)
        nodes.append(ProbeNode(place[n.parent], n.part, n.elements, _is_terminal(circuit, i)))
    return place
