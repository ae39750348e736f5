"""Event times against ngspice on varied circuits."""

from __future__ import annotations

import pytest

from tests.agreements import Agreement
from tests.oracles import netlist, oracle_or_skip, ours
from tests.oracles.case import reference_ladder
from tests.oracles.scenarios import MESHES, named_cases

oracle_or_skip("ngspice")
pytestmark = pytest.mark.oracle

EVENTS = Agreement(
    "ngspice-events",
    oracle="ngspice, transient analysis with the bridge as a thermal subcircuit",
    what="times of lighting and burning open: ladders, trees, meshes",
    limit=1e-4,
    differences="ngspice is told to place time points near an event, not at it; its own tolerance "
    "is most of the difference (with scipy the same circuits agree far better).",
)
CASES = named_cases()
MESH_NAMES = {kind.__name__ for kind in MESHES}


def test_there_are_at_least_forty_networks_with_events() -> None:
    assert len(CASES) >= 40
    assert len({len(case.igniters) for case in CASES.values()}) >= 5


@pytest.mark.parametrize("name", CASES)
def test_event_times_agree(name: str) -> None:
    case = CASES[name]
    nodal = name.rsplit("-", 1)[0] in MESH_NAMES
    EVENTS.within(ours.events(case, nodal=nodal).worst_error(netlist.events(case)))


@pytest.mark.parametrize("name", ["slow_ladder-0", "fast_tree-2", "constant_current-1"])
def test_general_solver_agrees_on_trees(name: str) -> None:
    EVENTS.within(ours.events(CASES[name], nodal=True).worst_error(netlist.events(CASES[name])))


def test_default_tolerance_is_good_enough_too() -> None:
    case = reference_ladder()
    error = ours.events(case, tolerance=1e-6).worst_error(netlist.events(case))
    assert error < 1e-5
