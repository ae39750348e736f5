"""What a resistance meter sees of one way of a matrix without diodes: a network of nodes."""

from __future__ import annotations

import numpy as np
from attrs import evolve, field, frozen

from bridgewire.bench.meter.probe import BOX, seen_at_box, total_ohm
from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.circuit.mesh import build_mesh, needs_mesh, ways_involved
from bridgewire.circuit.ways import CircuitBuilder, WayCircuit
from bridgewire.physics.network import LEAST_OHM, Bools, Floats, Ints


@frozen(eq=False)
class ProbeMesh:
    """One way of a matrix without diodes, seen from one place.

    `low_ohm` and `high_ohm` bound each branch from below and above: they differ in more than
    tolerances where the meter's place is not a node of the circuit.
    """

    nodes: int
    """How many."""
    ends: Ints = field(repr=False)
    """The two nodes of each branch: shape (branches, 2)."""
    low_ohm: Floats
    typical_ohm: Floats
    high_ohm: Floats
    string_ends: Ints
    string_low: Floats
    string_typical: Floats
    string_high: Floats
    """Leads of each string, ohm."""
    string_bridges: tuple[tuple[WayKey, tuple[int, ...]], ...]
    """Way of each string, and its bridges as in ``WayCircuit.bridge_igniter``."""
    at: tuple[int, int]
    """Nodes that the meter's probes are on."""

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


def _reached(ends: Ints, start: int, nodes: int) -> Bools:
    """Nodes that branches connect with `start`."""
    reached = np.zeros(nodes, dtype=bool)
    reached[start] = True
    while True:
        grown = reached.copy()
        grown[ends[reached[ends[:, 0]], 1]] = True
        grown[ends[reached[ends[:, 1]], 0]] = True
        if np.array_equal(grown, reached):
            return reached
        reached = grown


def is_mesh(builder: CircuitBuilder, key: WayKey) -> bool:
    """Whether a way's circuit is no tree: a matrix without diodes."""
    return needs_mesh(builder.layout.boxes[key[0]][1], 1)


def mesh_probe(builder: CircuitBuilder, key: WayKey, place: str) -> ProbeMesh | None:
    """One way of a matrix without diodes, seen from the box or a strip.

    None where the strip has no igniter of the way: its terminal is then no node of the circuit.
    """
    layout = builder.layout
    ways = tuple(builder.way(k) for k in ways_involved(layout, (key,)))
    if place == BOX:
        ways = tuple(_unplugged(way, layout) for way in ways)
    mesh = build_mesh(builder, ways, [{key}])
    topology = mesh.topology
    strings = [(w, s) for w in ways for s in w.strings]
    branch = np.where(topology.branch_on[:, :1], mesh.branch_ohm, np.inf).T.copy()
    leads = np.array([total_ohm(s.elements) for _, s in strings]).T.copy()
    at = (1, 0)
    if place != BOX:
        mine = [
            i for i, (w, s) in enumerate(strings) if w.key == key and w.nodes[s.node].part == place
        ]
        if not mine:
            return None
        run = ("run", layout.parts[place].run)
        for b, inside in enumerate(mesh.branch_elements):
            # Without elements it is a switch of the box.
            if not inside or any(e.path == run for e, _ in inside):
                branch[:, b] = np.inf
        ends = topology.string_ends[mine[0]]
        at = (int(ends[0]), int(ends[1]))
        way, string = strings[mine[0]]
        clamp = total_ohm([e for e in way.nodes[string.node].elements if e.kind == "contact"])
        # The probes are between track and clamp, which is one branch here: bound both ways.
        behind = topology.branch_ends[:, 1] == at[0]
        branch[:2, behind] -= np.array(clamp[:2])[:, None]
        leads[1:, mine] += np.array(clamp[1:])[:, None]
    return ProbeMesh(
        topology.nodes,
        topology.branch_ends,
        branch[0],
        branch[1],
        branch[2],
        topology.string_ends,
        leads[0],
        leads[1],
        leads[2],
        tuple((w.key, s.bridges) for w, s in strings),
        at,
    )


def _unplugged(way: WayCircuit, layout: Layout) -> WayCircuit:
    """A way as a meter at the plug of its output sees it."""
    nodes = zip(way.nodes, seen_at_box(way, layout), strict=True)
    return evolve(way, nodes=tuple(evolve(n, elements=e) for n, e in nodes))
