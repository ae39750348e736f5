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
from bridgewire.circuit.ways import CircuitBuilder, WayCircuit
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
    def __init__(self) -> None:
        self.nodes: dict[tuple[str, ...], int] = {("return",): 0, ("feed",): 1}
        self.ends: list[tuple[int, int]] = []
        self.ohm: list[tuple[float, float, float]] = []
        self.on: list[list[bool] | None] = []
        self.elements: list[tuple[tuple[Element, str], ...]] = []
        self.known: dict[tuple[str, ...], int] = {}

    def node(self, *name: str) -> int:
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
    layout = builder.layout
    mesh = _MeshBuilder()
    string_ends: list[tuple[int, int]] = []
    string_diode: list[bool] = []
    own: list[set[int]] = []
    for way in ways:
        box, output, number = way.key
        kind = layout.boxes[box][1]
        feed, back = groups(kind.path, number)
        on_feed, on_back = _switching(kind.path, way.key, active)
        out = str(output)
        path0 = {
            mesh.branch(
                ("switch", out, feed),
                1,
                mesh.node(out, box, feed),
                tuple((e, "loop") for e in way.nodes[0].elements),
                on_feed,
            )
        }
        if on_back is not None:
            path0.add(
                mesh.branch(
                    ("switch", out, back), mesh.node(out, box, back), 0, (), on_back, SWITCH_OHM
                )
            )
        else:
            mesh.nodes[(out, box, back)] = 0
        node_of: dict[int, tuple[int, int]] = {
            0: (mesh.node(out, box, feed), mesh.node(out, box, back))
        }
        paths: dict[int, set[int]] = {0: path0}
        for i, node in enumerate(way.nodes[1:], start=1):
            up_feed, up_back = node_of[node.parent]
            if way.nodes[node.parent].part == node.part:
                # A terminal: its own node on the feed side, the strip's return on the other.
                here = mesh.node("terminal", out, node.part, str(number))
                added = {
                    mesh.branch(
                        ("terminal", out, node.part, str(number)),
                        up_feed,
                        here,
                        tuple((e, "loop") for e in node.elements),
                    )
                }
                node_of[i] = (here, up_back)
            else:
                f, r = mesh.node(out, node.part, feed), mesh.node(out, node.part, back)
                added = {
                    mesh.branch(
                        (out, node.part, feed),
                        up_feed,
                        f,
                        tuple((e, "feed") for e in node.elements),
                    ),
                    mesh.branch(
                        (out, node.part, back),
                        r,
                        up_back,
                        tuple((e, "return") for e in node.elements),
                    ),
                }
                node_of[i] = (f, r)
            paths[i] = paths[node.parent] | added
        for string in way.strings:
            string_ends.append(node_of[string.node])
            string_diode.append(kind.path.diode is not None)
            own.append(paths[string.node])
    segments = len(active)
    branch_on = np.array([[True] * segments if on is None else on for on in mesh.on])
    string_path = np.zeros((len(own), len(mesh.ends)), dtype=bool)
    for row, branches in enumerate(own):
        string_path[row, list(branches)] = True
    topology = Topology(
        max(mesh.nodes.values()) + 1,
        np.array(mesh.ends),
        branch_on,
        np.array(string_ends),
        np.array(string_diode),
    )
    return Mesh(topology, np.array(mesh.ohm), mesh.elements, string_path)


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
