"""Networks that are not trees: conductors that several ways share.

Needed where ways of one output fire together over a common return or through a matrix, and
wherever a matrix has no diodes, so that current sneaks through igniters of other ways.
"""

from __future__ import annotations

import numpy as np
from attrs import define
from numpy.typing import NDArray

from bridgewire.circuit.elements import Element
from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.circuit.ways import CircuitBuilder, WayCircuit, WayNode
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, PathMap
from bridgewire.physics.nodal import Topology

SWITCH_OHM = Band(1e-6, 1e-6, 1e-6)
"""A return switch; the resistance of a way's switching is counted once, on the feed."""


def needs_mesh(kind: BoxKind, ways_on_output: int) -> bool:
    """Whether ways of one output that are on together need the general solution."""
    if kind.path.map == "matrix" and kind.path.diode is None:
        return True
    return kind.path.map != "pair" and ways_on_output > 1


def row_and_column(path: PathMap, way: int) -> tuple[int, int]:
    """Row and column (from 0) of a way of a matrix.

    >>> row_and_column(PathMap("matrix", rows=4, columns=4), 6)
    (1, 1)
    """
    columns = path.columns or 1
    return (way - 1) // columns, (way - 1) % columns


def ways_involved(layout: Layout, active: tuple[WayKey, ...]) -> tuple[WayKey, ...]:
    """All ways whose igniters can carry current while some ways are switched on.

    With a matrix these are more than the ones that are switched: every crossing of a row and a
    column in use; without diodes, every way of the output.
    """
    found: dict[WayKey, None] = dict.fromkeys(active)
    outputs = {(w[0], w[1]) for w in active}
    for box, output in outputs:
        path = layout.boxes[box][1].path
        if path.map != "matrix":
            continue
        mine = [w[2] for w in active if w[:2] == (box, output)]
        if path.diode is not None and len(mine) < 2:
            continue
        rows = {row_and_column(path, w)[0] for w in mine}
        columns = {row_and_column(path, w)[1] for w in mine}
        for key in sorted(k for k in layout.by_way if k[:2] == (box, output)):
            row, column = row_and_column(path, key[2])
            if path.diode is None or (row in rows and column in columns):
                found[key] = None
    return tuple(found)


def groups(path: PathMap, way: int) -> tuple[str, str]:
    """Names of the feed and return conductors of a way.

    >>> groups(PathMap("common-return"), 3)
    ('feed 3', 'return')
    """
    if path.map == "pair":
        return f"feed {way}", f"return {way}"
    if path.map == "common-return":
        return f"feed {way}", "return"
    row, column = row_and_column(path, way)
    return f"row {row + 1}", f"column {column + 1}"


@define(eq=False)
class Mesh:
    """A network of one box over some ways. Strings stand in the order of the ways' circuits."""

    topology: Topology
    branch_ohm: NDArray[np.float64]
    """Shape (branches, 3): min, typical, max."""
    branch_elements: list[tuple[tuple[Element, str], ...]]
    """Elements of each branch with the leg ('feed', 'return' or 'loop') that it stands for."""
    string_path: NDArray[np.bool_]
    """Shape (strings, branches): branches on the string's own path."""


class _MeshBuilder:
    """Collects the nodes, branches and strings of a mesh, each shared part once."""

    def __init__(self) -> None:
        self.nodes: dict[tuple[str, ...], int] = {("return",): 0, ("feed",): 1}
        self.ends: list[tuple[int, int]] = []
        self.ohm: list[tuple[float, float, float]] = []
        self.on: list[list[bool] | None] = []
        self.elements: list[tuple[tuple[Element, str], ...]] = []
        self.known: dict[tuple[str, ...], int] = {}
        self.string_ends: list[tuple[int, int]] = []
        self.string_diode: list[bool] = []
        self.string_path: list[set[int]] = []

    def node(self, *name: str) -> int:
        """Number of a node, new if it is not there yet."""
        return self.nodes.setdefault(name, max(self.nodes.values()) + 1)

    def branch(
        self,
        name: tuple[str, ...],
        start: int,
        end: int,
        elements: tuple[tuple[Element, str], ...],
        on: list[bool] | None = None,
        ohm: Band | None = None,
    ) -> int:
        """Add a branch once; return its number."""
        if name not in self.known:
            self.known[name] = len(self.ends)
            self.ends.append((start, end))
            total = ohm or Band(0.0, 0.0, 0.0)
            for element, leg in elements:
                if leg != "return":
                    total = total.plus(element.feed_ohm)
                if leg != "feed":
                    total = total.plus(element.return_ohm)
            self.ohm.append((total.min, total.typical, total.max))
            self.on.append(on)
            self.elements.append(elements)
        return self.known[name]

    def add_way(self, way: WayCircuit, path: PathMap, active: list[set[WayKey]]) -> None:
        """Add the switches, parts, terminals and strings of a way."""
        feed, back = groups(path, way.key[2])
        ends, switches = self._switches(way, feed, back, _switching(path, way.key, active))
        node_ends, paths = {0: ends}, {0: switches}
        for i, node in enumerate(way.nodes[1:], start=1):
            above = node_ends[node.parent]
            if way.nodes[node.parent].part == node.part:
                node_ends[i], added = self._terminal(way.key, node, above)
            else:
                node_ends[i], added = self._part(str(way.key[1]), node, above, feed, back)
            paths[i] = paths[node.parent] | added
        for string in way.strings:
            self.string_ends.append(node_ends[string.node])
            self.string_diode.append(path.diode is not None)
            self.string_path.append(paths[string.node])

    def _switches(
        self, way: WayCircuit, feed: str, back: str, on: tuple[list[bool], list[bool] | None]
    ) -> tuple[tuple[int, int], set[int]]:
        """Feed and return node at the box, and the branches that switch them."""
        box, out = way.key[0], str(way.key[1])
        on_feed, on_back = on
        elements = tuple((e, "loop") for e in way.nodes[0].elements)
        feed_node = self.node(out, box, feed)
        branches = {self.branch(("switch", out, feed), 1, feed_node, elements, on_feed)}
        if on_back is None:
            self.nodes[out, box, back] = 0
            return (feed_node, 0), branches
        back_node = self.node(out, box, back)
        branches.add(self.branch(("switch", out, back), back_node, 0, (), on_back, SWITCH_OHM))
        return (feed_node, back_node), branches

    def _terminal(
        self, key: WayKey, node: WayNode, above: tuple[int, int]
    ) -> tuple[tuple[int, int], set[int]]:
        """A node of its own on the feed side, the strip's return on the other."""
        name = ("terminal", str(key[1]), node.part, str(key[2]))
        here = self.node(*name)
        elements = tuple((e, "loop") for e in node.elements)
        return (here, above[1]), {self.branch(name, above[0], here, elements)}

    def _part(
        self, out: str, node: WayNode, above: tuple[int, int], feed: str, back: str
    ) -> tuple[tuple[int, int], set[int]]:
        """Feed and return node of a part, and the conductors from what is before it."""
        there, home = self.node(out, node.part, feed), self.node(out, node.part, back)
        fed = tuple((e, "feed") for e in node.elements)
        returned = tuple((e, "return") for e in node.elements)
        return (there, home), {
            self.branch((out, node.part, feed), above[0], there, fed),
            self.branch((out, node.part, back), home, above[1], returned),
        }

    def done(self, segments: int) -> Mesh:
        """The mesh as collected."""
        string_path = np.zeros((len(self.string_path), len(self.ends)), dtype=bool)
        for row, branches in enumerate(self.string_path):
            string_path[row, list(branches)] = True
        topology = Topology(
            max(self.nodes.values()) + 1,
            np.array(self.ends),
            np.array([[True] * segments if on is None else on for on in self.on]),
            np.array(self.string_ends),
            np.array(self.string_diode),
        )
        return Mesh(topology, np.array(self.ohm), self.elements, string_path)


def build_mesh(
    builder: CircuitBuilder, ways: tuple[WayCircuit, ...], active: list[set[WayKey]]
) -> Mesh:
    """Build the network of the ways of one box.

    Parameters
    ----------
    builder : CircuitBuilder
    ways : tuple of WayCircuit
        All ways involved, see `ways_involved`.
    active : list of set of WayKey
        The ways that are switched on in each segment of time.
    """
    mesh = _MeshBuilder()
    for way in ways:
        mesh.add_way(way, builder.layout.boxes[way.key[0]][1].path, active)
    return mesh.done(len(active))


def _switching(
    path: PathMap, key: WayKey, active: list[set[WayKey]]
) -> tuple[list[bool], list[bool] | None]:
    """When a way's feed conductor and (for a matrix) its return conductor are switched on."""
    if path.map != "matrix":
        return [key in on for on in active], None
    row, column = row_and_column(path, key[2])
    feed: list[bool] = []
    back: list[bool] = []
    for on in active:
        pairs = [row_and_column(path, w[2]) for w in on if w[:2] == key[:2]]
        feed.append(any(r == row for r, _ in pairs))
        back.append(any(c == column for _, c in pairs))
    return feed, back
