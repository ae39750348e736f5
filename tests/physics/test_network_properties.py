"""Laws that every solved circuit must keep, on random trees and meshes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.physics.network import Floats, Network, Solution
from bridgewire.physics.nodal import NodalNetwork, Topology
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.tree import TreeNetwork
from tests.oracles import ours
from tests.oracles.case import Case, Igniter, Source, ladder
from tests.physics.strategies import igniters, meshes, sources, trees

quick = settings(max_examples=60, deadline=None)
CLOSE = 1e-9


def cold_ohm(cases: list[Case]) -> Floats:
    """Cold resistance of the bridges of each string."""
    return np.array([sum(i.cold_ohm for i in s.igniters) for c in cases for s in c.strings])


def solve_cold(network: Network, string_ohm: Floats) -> Solution:
    return network.solve(string_ohm, np.zeros(network.emf_V.size, dtype=np.intp), network.emf_V)


@quick
@given(trees(drop=True))
def test_tree_keeps_the_laws_of_current_and_voltage(case: Case) -> None:
    network, ohm = ours.tree_network([case]), cold_ohm([case])
    solution = solve_cold(network, ohm)
    scale = solution.supply_A[0] + 1e-12
    # Current into a node leaves it to its children and strings.
    leaving = np.zeros(network.parent.size)
    np.add.at(leaving, network.parent[1:], solution.branch_A[1:])
    np.add.at(leaving, network.string_node, solution.string_A)
    np.testing.assert_allclose(solution.branch_A, leaving, atol=CLOSE * scale)
    assert solution.branch_A[0] == pytest.approx(solution.supply_A[0])
    # Walking out from the terminals, the drops add up to the voltage across each string.
    volts = np.empty(network.parent.size)
    volts[0] = solution.supply_V[0] - case.drop_V
    for node in range(1, volts.size):
        drop = solution.branch_A[node] * network.branch_ohm[node]
        volts[node] = volts[network.parent[node]] - drop
    across = solution.string_A * (network.string_fixed_ohm + ohm)
    np.testing.assert_allclose(across, volts[network.string_node], atol=CLOSE * case.source.emf_V)


@quick
@given(meshes())
def test_mesh_keeps_the_laws_of_current_and_voltage(case: Case) -> None:
    network, ohm = ours.nodal_network([case]), cold_ohm([case])
    solution = solve_cold(network, ohm)
    current = np.concatenate([solution.branch_A, solution.string_A])
    lead = np.array([s.lead_ohm for s in case.strings])
    fall = current * np.concatenate([[b.ohm for b in case.branches], lead + ohm])
    ends = [(b.start, b.end) for b in case.branches] + [(s.start, s.end) for s in case.strings]
    incidence = np.zeros((len(ends), case.nodes))
    for row, (start, end) in enumerate(ends):
        incidence[row, start] += 1.0
        incidence[row, end] -= 1.0
    injected = np.zeros(case.nodes)
    injected[:2] = [-solution.supply_A[0], solution.supply_A[0]]
    scale = np.abs(current).max() + 1e-9
    np.testing.assert_allclose(incidence.T @ current, injected, atol=2e-8 * scale + 1e-9)
    # The falls are differences of node voltages, so they add up to nothing round every loop.
    volts = np.linalg.lstsq(incidence, fall, rcond=None)[0]
    np.testing.assert_allclose(incidence @ volts, fall, atol=1e-8 * case.source.emf_V)
    source = case.source
    if not solution.limited[0]:
        inside = source.emf_V - source.internal_ohm * solution.supply_A[0]
        assert solution.supply_V[0] == pytest.approx(inside)


@quick
@given(trees(drop=True))
def test_tree_and_nodal_solutions_agree(case: Case) -> None:
    ohm = cold_ohm([case])
    tree = solve_cold(ours.tree_network([case]), ohm)
    nodal = solve_cold(ours.nodal_network([case]), ohm)
    scale = tree.supply_A[0] + 1e-9
    np.testing.assert_allclose(nodal.string_A, tree.string_A, atol=1e-8 * scale)
    assert nodal.supply_A[0] == pytest.approx(tree.supply_A[0], rel=1e-7, abs=1e-9)
    assert nodal.supply_V[0] == pytest.approx(tree.supply_V[0], rel=1e-7)
    margin = abs(tree.supply_A[0] - case.source.limit_A)
    assert nodal.limited[0] == tree.limited[0] or margin < 1e-6


@quick
@given(trees())
def test_tree_and_nodal_transients_agree(case: Case) -> None:
    tree, nodal = ours.events(case), ours.events(case, nodal=True)
    np.testing.assert_allclose(nodal.end_K, tree.end_K, atol=0.05)
    both = np.isfinite(tree.light_s) & np.isfinite(nodal.light_s)
    np.testing.assert_allclose(nodal.light_s[both], tree.light_s[both], rtol=1e-5)


@quick
@given(trees(), st.booleans())
def test_supply_keeps_its_limit(case: Case, nodal: bool) -> None:
    network: Network = ours.nodal_network([case]) if nodal else ours.tree_network([case])
    solution = solve_cold(network, cold_ohm([case]))
    source = case.source
    current, volts = float(solution.supply_A[0]), float(solution.supply_V[0])
    assert volts <= source.emf_V - source.internal_ohm * current + 1e-6
    if math.isfinite(source.limit_A):
        ceiling = source.short_circuit_A + source.fold_S * volts
        assert current <= ceiling * (1 + 1e-9) + 1e-9
        if solution.limited[0]:
            assert current == pytest.approx(ceiling, rel=1e-7)
    else:
        assert not solution.limited[0]


@quick
@given(trees(drop=True), st.booleans())
def test_power_of_the_supply_is_spent_in_the_resistances(case: Case, nodal: bool) -> None:
    network: Network = ours.nodal_network([case]) if nodal else ours.tree_network([case])
    ohm = cold_ohm([case])
    solution = solve_cold(network, ohm)
    lead = np.array([s.lead_ohm for s in case.strings])
    branch_ohm = np.array([b.ohm for b in case.branches])
    if isinstance(network, TreeNetwork):
        branch_ohm = np.where(network.parent < 0, 0.0, network.branch_ohm)
    spent = (
        np.sum(solution.branch_A**2 * branch_ohm)
        + np.sum(solution.string_A**2 * (lead + ohm))
        + case.drop_V * np.sum(np.abs(solution.string_A))
    )
    given_W = solution.supply_V[0] * solution.supply_A[0]
    assert given_W == pytest.approx(spent, rel=1e-6, abs=1e-9)


@quick
@given(trees(limit=False), st.floats(1e-4, 1.0))
def test_charge_drawn_is_what_the_capacitor_lost(case: Case, capacitance_F: float) -> None:
    case = evolve(case, source=evolve(case.source, capacitance_F=capacitance_F))
    outcome, _ = ours.solve([case], tolerance=1e-6)
    lost = capacitance_F * (case.source.emf_V - outcome.end_emf_V[0])
    assert outcome.charge_C[0] == pytest.approx(lost, rel=1e-3, abs=1e-4 * capacitance_F)
    assert 0.0 <= outcome.end_emf_V[0] <= case.source.emf_V


@quick
@given(igniters(), sources(fold_back=False), st.floats(0.0, 20.0), st.floats(0.0, 20.0))
def test_a_longer_cable_never_lights_a_lone_igniter_sooner(
    igniter: Igniter, source: Source, short_ohm: float, extra_ohm: float
) -> None:
    # A fold-back source is left out: more resistance raises its voltage and so its limit.
    near, far = (
        float(ours.events(ladder(source, [ohm], [igniter], 4.0)).light_s[0])
        for ohm in (short_ohm, short_ohm + extra_ohm)
    )
    if math.isnan(near):
        assert math.isnan(far)
    elif not math.isnan(far):
        assert far >= near * (1 - 1e-5)


@quick
@given(st.lists(trees(drop=True), min_size=2, max_size=5), st.data())
def test_taking_some_circuits_is_solving_them(cases: list[Case], data: st.DataObject) -> None:
    some = sorted(
        data.draw(st.sets(st.integers(0, len(cases) - 1), min_size=1, max_size=len(cases)))
    )
    network = ours.tree_network(cases)
    whole = solve_cold(network, cold_ohm(cases))
    kept = [cases[i] for i in some]
    part = solve_cold(network.take(np.array(some)), cold_ohm(kept))
    strings = np.isin(network.circuit_of_string, some)
    np.testing.assert_allclose(part.string_A, whole.string_A[strings], rtol=1e-12)
    np.testing.assert_allclose(part.supply_A, whole.supply_A[some], rtol=1e-12)
    np.testing.assert_allclose(part.supply_V, whole.supply_V[some], rtol=1e-12)
    branches = np.isin(network.circuit_of_branch, some)
    np.testing.assert_allclose(part.branch_A, whole.branch_A[branches], rtol=1e-12)


@quick
@given(meshes(), st.lists(st.floats(0.5, 2.0), min_size=2, max_size=4), st.data())
def test_taking_some_meshes_is_solving_them(
    case: Case, factors: list[float], data: st.DataObject
) -> None:
    cases = [
        evolve(case, branches=tuple(evolve(b, ohm=f * b.ohm) for b in case.branches))
        for f in factors
    ]
    which = data.draw(st.integers(0, len(cases) - 1))
    network = ours.nodal_network(cases)
    whole = solve_cold(network, cold_ohm(cases))
    alone = solve_cold(network.take(np.array([which])), cold_ohm([case]))
    mine = network.circuit_of_string == which
    np.testing.assert_allclose(alone.string_A, whole.string_A[mine], rtol=1e-9, atol=1e-15)


@quick
@given(st.lists(trees(drop=True), min_size=2, max_size=4))
def test_circuits_run_together_as_they_run_alone(cases: list[Case]) -> None:
    together, state = ours.solve(cases, tolerance=1e-6)
    alone = [ours.solve([case], tolerance=1e-6) for case in cases]
    for name in ("light_s", "part_s", "light_A", "peak_x", "peak_A", "charge_C", "end_emf_V"):
        joined = np.concatenate([getattr(outcome, name) for outcome, _ in alone])
        np.testing.assert_allclose(getattr(together, name), joined, rtol=1e-9, err_msg=name)
    np.testing.assert_allclose(
        state.x, np.concatenate([b.x for _, b in alone]), rtol=1e-9, atol=1e-12
    )


def matrix_2x2(*, diodes: bool, drop_V: float = 0.0) -> NodalNetwork:
    """Two rows, two columns, an igniter at every crossing; row A and column 1 are switched on.

    Nodes: 0 return, 1 feed, 2 row A, 3 row B, 4 column 1, 5 column 2.
    """
    topology = Topology(
        nodes=6,
        branch_ends=np.array([[1, 2], [1, 3], [4, 0], [5, 0]]),
        branch_on=np.array([[True], [False], [True], [False]]),
        string_ends=np.array([[2, 4], [2, 5], [3, 4], [3, 5]]),
        string_diode=np.full(4, diodes),
    )
    return NodalNetwork(
        topology,
        branch_ohm=np.full((1, 4), 0.5),
        string_fixed_ohm=np.zeros((1, 4)),
        drop_V=np.array([drop_V]),
        supply=SupplyArrays.plain(10.0, 0.5),
    )


def test_matrix_without_diodes_has_a_sneak_current() -> None:
    # Beside the target A1 of 2 ohm lie A2, B2 and B1 in series, 6 ohm: together 1.5 ohm, with
    # 0.5 + 0.5 + 0.5 ohm of supply and leads. So 10 V drive 10/3 A; a quarter goes astray.
    solution = solve_cold(matrix_2x2(diodes=False), np.full(4, 2.0))
    assert solution.supply_A[0] == pytest.approx(10.0 / 3.0)
    # B2 carries it backwards, from column to row.
    np.testing.assert_allclose(solution.string_A, np.array([7.5, 2.5, 2.5, -2.5]) / 3.0, rtol=1e-6)
    np.testing.assert_allclose(solution.branch_A[[1, 3]], 0.0, atol=1e-12)


def test_diodes_block_the_sneak_current() -> None:
    # Only the target is left: (10 - 0.7) V over 3.5 ohm.
    solution = solve_cold(matrix_2x2(diodes=True, drop_V=0.7), np.full(4, 2.0))
    np.testing.assert_allclose(solution.string_A, [9.3 / 3.5, 0.0, 0.0, 0.0], rtol=1e-6, atol=1e-9)


def test_target_that_has_parted_leaves_the_sneak_path() -> None:
    # A1 open: 10 V over 1.5 ohm and the 6 ohm of the other three.
    solution = solve_cold(matrix_2x2(diodes=False), np.array([np.inf, 2.0, 2.0, 2.0]))
    np.testing.assert_allclose(
        solution.string_A, [0.0, 10 / 7.5, 10 / 7.5, -10 / 7.5], rtol=1e-6, atol=1e-9
    )


@quick
@given(
    rows=st.integers(1, 4),
    columns=st.integers(1, 4),
    drop_V=st.floats(0.0, 1.0),
    data=st.data(),
)
def test_no_string_behind_a_diode_carries_current_backwards(
    rows: int, columns: int, drop_V: float, data: st.DataObject
) -> None:
    crossings = [(2 + r, 2 + rows + c) for r in range(rows) for c in range(columns)]
    ends = [(1, 2 + r) for r in range(rows)] + [(2 + rows + c, 0) for c in range(columns)]
    on = data.draw(st.lists(st.booleans(), min_size=len(ends), max_size=len(ends)))
    ohm = data.draw(
        st.lists(st.floats(0.5, 30.0), min_size=len(crossings), max_size=len(crossings))
    )
    network = NodalNetwork(
        Topology(
            2 + rows + columns,
            np.array(ends),
            np.array(on)[:, None],
            np.array(crossings),
            np.ones(len(crossings), dtype=bool),
        ),
        branch_ohm=np.full((1, len(ends)), 0.2),
        string_fixed_ohm=np.full((1, len(crossings)), 0.1),
        drop_V=np.array([drop_V]),
        supply=SupplyArrays.plain(12.0, 0.3),
    )
    solution = solve_cold(network, np.array(ohm))
    assert np.all(solution.string_A >= -1e-9)
    wanted = np.array([on[r] and on[rows + c] for r in range(rows) for c in range(columns)])
    assert np.all(solution.string_A[wanted] > 1e-3)
    assert np.all(np.abs(solution.string_A[~wanted]) < 1e-9)


def test_source_of_lone_igniter_by_hand() -> None:
    # 12 V behind 0.2 ohm, 1.8 ohm of cable, 2 ohm of bridge: 3 A.
    igniter = Igniter(2.0, 1e-3, 1e-3, 300.0)
    case = ladder(Source(12.0, 0.2), [1.8], [igniter], 1.0)
    solution = solve_cold(ours.tree_network([case]), cold_ohm([case]))
    assert solution.string_A[0] == pytest.approx(3.0)
    assert solution.supply_V[0] == pytest.approx(11.4)
