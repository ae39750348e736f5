"""Builds our own solvers' input from plain cases, and runs it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.network import Floats
from bridgewire.physics.nodal import NodalNetwork, Topology
from bridgewire.physics.outcome import Outcome
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.transient import run_transient
from bridgewire.physics.tree import TreeNetwork
from tests.oracles.case import Case, Events


def supply_arrays(cases: Sequence[Case]) -> SupplyArrays:
    """The sources of some cases."""
    sources = [case.source for case in cases]
    return SupplyArrays(
        np.array([s.emf_V for s in sources]),
        np.array([s.internal_ohm for s in sources]),
        np.array([s.limit_A for s in sources]),
        np.array([s.short_circuit_A for s in sources]),
        np.array([s.emf_V for s in sources]),
        np.array([s.capacitance_F for s in sources]),
    )


def _segments(cases: Sequence[Case]) -> int:
    return max(len(case.boundaries_s) for case in cases) - 1


def boundaries(cases: Sequence[Case]) -> Floats:
    """Segment boundaries, padded with the last time."""
    width = _segments(cases) + 1
    return np.array(
        [[*c.boundaries_s, *([c.boundaries_s[-1]] * (width - len(c.boundaries_s)))] for c in cases]
    )


def tree_network(cases: Sequence[Case]) -> TreeNetwork:
    """A forest of cases whose branches lead from node 1 outwards and whose strings end on 0."""
    parent: list[int] = []
    ohm: list[float] = []
    circuit: list[int] = []
    string_node: list[int] = []
    for number, case in enumerate(cases):
        base = len(parent) - 1
        parents, ohms = [-1] * (case.nodes - 1), [0.0] * (case.nodes - 1)
        for branch in case.branches:
            if 0 in (branch.start, branch.end) or parents[branch.end - 1] >= 0:
                raise ValueError("not a tree")
            parents[branch.end - 1] = base + branch.start
            ohms[branch.end - 1] = branch.ohm
        if any(string.end != 0 for string in case.strings):
            raise ValueError("not a tree")
        parent += parents
        ohm += ohms
        circuit += [number] * (case.nodes - 1)
        string_node += [base + string.start for string in case.strings]
    network, _ = TreeNetwork.in_any_order(
        parent=np.array(parent),
        branch_ohm=np.array(ohm),
        circuit_of_node=np.array(circuit),
        string_node=np.array(string_node),
        string_fixed_ohm=np.array([s.lead_ohm for c in cases for s in c.strings]),
        string_on=np.array(
            [[c.string_on(s, k) for k in range(_segments(cases))] for c in cases for s in c.strings]
        ),
        drop_V=np.array([case.drop_V for case in cases]),
        supply=supply_arrays(cases),
    )
    return network


def nodal_network(cases: Sequence[Case]) -> NodalNetwork:
    """A batch of cases of one topology.

    A string that is switched gets its leads as a branch of their own, which is the switch.
    """
    first, segments = cases[0], _segments(cases)
    switched = [i for i, s in enumerate(first.strings) if not all(s.on)]
    inner = {string: first.nodes + k for k, string in enumerate(switched)}
    ends = [(b.start, b.end) for b in first.branches]
    ends += [(first.strings[i].start, inner[i]) for i in switched]
    on = np.ones((len(ends), segments), dtype=bool)
    for row, i in enumerate(switched, len(first.branches)):
        on[row] = [first.string_on(first.strings[i], k) for k in range(segments)]
    string_ends = [(inner.get(i, s.start), s.end) for i, s in enumerate(first.strings)]
    topology = Topology(
        first.nodes + len(switched),
        np.array(ends, dtype=np.intp).reshape(-1, 2),
        on,
        np.array(string_ends, dtype=np.intp),
        np.array([s.diode or first.drop_V > 0 for s in first.strings]),
    )
    return NodalNetwork(
        topology,
        np.array(
            [[b.ohm for b in c.branches] + [c.strings[i].lead_ohm for i in switched] for c in cases]
        ),
        np.array(
            [[0.0 if i in inner else s.lead_ohm for i, s in enumerate(c.strings)] for c in cases]
        ),
        np.array([case.drop_V for case in cases]),
        supply_arrays(cases),
    )


def bridges(cases: Sequence[Case]) -> Bridges:
    """The igniters of some cases in our scaled terms."""
    string: list[int] = []
    base = 0
    for case in cases:
        string += [base + i for i in case.string_of_igniter]
        base += len(case.strings)
    all_ = [igniter for case in cases for igniter in case.igniters]
    light_K = np.array([i.light_K for i in all_])
    no = np.zeros(len(all_), dtype=bool)
    return Bridges(
        string=np.array(string, dtype=np.intp),
        cold_ohm=np.array([i.cold_ohm for i in all_]),
        rise_per_x=np.array([i.alpha_per_K for i in all_]) * light_K,
        threshold_A=np.array([i.threshold_A for i in all_]),
        tau_s=np.array([i.tau_s for i in all_]),
        burn_open=np.array([i.open_K for i in all_]) / light_K,
        after_ohm=np.array([i.after_ohm for i in all_]),
        x=np.array([i.start_K for i in all_]) / light_K,
        lit=no,
        parted=no.copy(),
    )


def solve(
    cases: Sequence[Case], *, tolerance: float = 1e-7, nodal: bool = False
) -> tuple[Outcome, Bridges]:
    """Run cases together; the bridges are returned in their end state."""
    network = nodal_network(cases) if nodal else tree_network(cases)
    state = bridges(cases)
    return run_transient(network, state, boundaries(cases), tolerance=tolerance), state


def events(case: Case, *, tolerance: float = 1e-7, nodal: bool = False) -> Events:
    """Run one case alone."""
    outcome, state = solve([case], tolerance=tolerance, nodal=nodal)
    light_K = np.array([i.light_K for i in case.igniters])
    return Events(outcome.light_s, outcome.part_s, state.x * light_K, float(outcome.end_emf_V[0]))
