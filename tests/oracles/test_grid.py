"""Resistive solutions against power-grid-model, a load-flow program for electricity grids.

With lines of no reactance, loads as conductances to earth and its linear method, a three-phase
grid in balance is a dc network: line voltages are our voltages, and the phase currents of the
grid are ours over the square root of three.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve

from tests.oracles import oracle_or_skip

oracle_or_skip("power_grid_model")

from power_grid_model import (  # noqa: E402
    CalculationMethod,
    ComponentType,
    DatasetType,
    PowerGridModel,
    initialize_array,
)

from bridgewire.physics.network import Floats, Network, Solution  # noqa: E402
from tests.agreements import Agreement  # noqa: E402
from tests.oracles import ours  # noqa: E402
from tests.oracles.case import Branch, Case  # noqa: E402
from tests.oracles.scenarios import KINDS, MESHES  # noqa: E402

pytestmark = pytest.mark.oracle

CURRENTS = Agreement(
    "grid-currents",
    oracle="power-grid-model, linear power flow of a balanced grid with the same resistances",
    what="currents of every branch and the supply voltage, cold bridges: trees and meshes",
    limit=1e-8,
    differences="Its source has an impedance of its own, which is set to 1e-13 Ω.",
    package="power-grid-model",
)
LIMIT = CURRENTS.limit


def _edges(case: Case) -> list[Branch]:
    """Every resistance of the case, cold: the source, the branches, the strings."""
    source_node = case.nodes
    strings = [
        Branch(s.start, s.end, s.lead_ohm + sum(i.cold_ohm for i in s.igniters))
        for s in case.strings
    ]
    return [Branch(source_node, 1, case.source.internal_ohm), *case.branches, *strings]


def grid_solution(case: Case) -> tuple[Floats, Floats]:
    """Node voltages (node 0 first) and currents of `_edges` by power-grid-model."""
    edges = _edges(case)
    count = case.nodes
    rated_V = case.source.emf_V
    node = initialize_array(DatasetType.input, ComponentType.node, count)
    node["id"] = np.arange(1, count + 1)
    node["u_rated"] = rated_V
    lines = [e for e in edges if 0 not in (e.start, e.end)]
    line = initialize_array(DatasetType.input, ComponentType.line, len(lines))
    line["id"] = 1000 + np.arange(len(lines))
    line["from_node"] = [e.start for e in lines]
    line["to_node"] = [e.end for e in lines]
    line["from_status"] = line["to_status"] = 1
    line["r1"] = [e.ohm for e in lines]
    line["x1"] = line["c1"] = line["tan1"] = 0.0
    earthed = [e for e in edges if 0 in (e.start, e.end)]
    shunt = initialize_array(DatasetType.input, ComponentType.shunt, len(earthed))
    shunt["id"] = 2000 + np.arange(len(earthed))
    shunt["node"] = [max(e.start, e.end) for e in earthed]
    shunt["status"] = 1
    shunt["g1"] = [1.0 / e.ohm for e in earthed]
    shunt["b1"] = 0.0
    source = initialize_array(DatasetType.input, ComponentType.source, 1)
    source["id"], source["node"], source["status"], source["u_ref"] = 9000, count, 1, 1.0
    # The source's own impedance is rated_V^2 / sk; our internal resistance is a line instead.
    source["sk"] = 1e13 * rated_V**2
    model = PowerGridModel(
        {
            ComponentType.node: node,
            ComponentType.line: line,
            ComponentType.shunt: shunt,
            ComponentType.source: source,
        }
    )
    result = model.calculate_power_flow(calculation_method=CalculationMethod.linear)
    volts = np.concatenate([[0.0], result[ComponentType.node]["u"]])
    power = dict(
        zip(result[ComponentType.line]["id"], result[ComponentType.line]["p_from"], strict=True)
    )
    current: list[float] = []
    for edge in edges:
        if edge in lines:
            current.append(power[1000 + lines.index(edge)] / volts[edge.start])
        else:
            current.append((volts[edge.start] - volts[edge.end]) / edge.ohm)
    return volts, np.array(current)


def _cold(network: Network, cases: list[Case]) -> Solution:
    ohm = np.array([sum(i.cold_ohm for i in s.igniters) for c in cases for s in c.strings])
    return network.solve(ohm, np.zeros(len(cases), dtype=np.intp), network.emf_V)


def _linear(case: Case) -> Case:
    source = evolve(case.source, limit_A=math.inf, short_circuit_A=math.inf)
    return evolve(case, source=source, drop_V=0.0)


TREES = {
    f"{kind.__name__}-{seed}": _linear(kind(np.random.default_rng([seed, 31])))
    for kind in KINDS
    if kind not in MESHES
    for seed in range(3)
}
NETS = {
    f"{kind.__name__}-{seed}": _linear(kind(np.random.default_rng([seed, 32])))
    for kind in MESHES
    for seed in range(8)
}


def test_line_power_gives_the_current() -> None:
    # 10 V, 1 ohm inside, 4 ohm of line and a bridge of 5 ohm: 1 A, 9 V and 5 V.
    case = TREES["slow_tree-0"]
    one = evolve(case.strings[0].igniters[0], cold_ohm=5.0)
    small = evolve(
        case,
        source=evolve(case.source, emf_V=10.0, internal_ohm=1.0),
        branches=(Branch(1, 2, 4.0),),
        strings=(evolve(case.strings[0], start=2, end=0, lead_ohm=0.0, igniters=(one,)),),
    )
    volts, current = grid_solution(small)
    np.testing.assert_allclose(volts, [0.0, 9.0, 5.0, 10.0], rtol=1e-10)
    np.testing.assert_allclose(current, [1.0, 1.0, 1.0], rtol=1e-10)


@pytest.mark.parametrize("name", TREES)
def test_tree_currents(name: str) -> None:
    case = TREES[name]
    _, current = grid_solution(case)
    solution = _cold(ours.tree_network([case]), [case])
    strings = len(case.strings)
    CURRENTS.close(solution.supply_A[0], current[0])
    CURRENTS.close(solution.string_A, current[-strings:])


@pytest.mark.parametrize("name", [*TREES, *NETS])
def test_nodal_currents(name: str) -> None:
    case = TREES.get(name) or NETS[name]
    volts, current = grid_solution(case)
    solution = _cold(ours.nodal_network([case]), [case])
    got = np.concatenate([solution.supply_A, solution.branch_A, solution.string_A])
    CURRENTS.close(got, current, floor=abs(float(current[0])))
    CURRENTS.close(solution.supply_V[0], volts[1])
