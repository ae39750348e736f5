"""The compiled transient against the numpy one: same circuits, same steps, same answers.

Tests whose name says *without* need no numba.
"""

from __future__ import annotations

import importlib
import math
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.errors import ModelRangeError
from bridgewire.physics import compiled
from bridgewire.physics.bridges import Bridges
from bridgewire.physics.compiled import can_compile, run_compiled, run_draws
from bridgewire.physics.draws import (
    PER_BRIDGE,
    CircuitShape,
    DrawOutcome,
    Draws,
    DrawValues,
    RunDraws,
)
from bridgewire.physics.laws import IgniterModel, Law
from bridgewire.physics.many_draws import run_draws_numpy
from bridgewire.physics.outcome import Outcome
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.transient import run_transient
from tests.agreements import Agreement
from tests.oracles import oracle_or_skip, ours
from tests.oracles.case import (
    Case,
    Igniter,
    Rng,
    Source,
    ladder,
    random_tree,
    reference_ladder,
    slow_igniter,
)
from tests.oracles.scenarios import KINDS, MESHES, named_cases
from tests.physics.strategies import trees

NEAR = 1e-9
"""Largest relative difference allowed between the two paths. They take the same steps; what is
left is rounding, which the estimate of a rate of change by a short look ahead makes larger."""
CASES = {
    n: c
    for n, c in named_cases().items()
    if n.rsplit("-", 1)[0] not in {kind.__name__ for kind in MESHES}
}
ARRAYS = (
    "light_s",
    "part_s",
    "light_A",
    "light_u",
    "peak_x",
    "peak_A",
    "peak_supply_A",
    "lowest_supply_V",
    "charge_C",
    "end_emf_V",
)


@pytest.fixture(autouse=True)
def _numba(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Skip what needs numba where there is none; fail where oracles are required."""
    monkeypatch.delenv(compiled.SWITCH, raising=False)
    if "without" not in request.node.name:
        oracle_or_skip("numba")


def both(
    cases: Sequence[Case], tolerance: float, *, threads: int = 1
) -> tuple[tuple[Outcome, Bridges], tuple[Outcome, Bridges]]:
    """Outcome and end state by numpy and compiled."""
    network, bounds = ours.tree_network(cases), ours.boundaries(cases)
    one, two = ours.bridges(cases), ours.bridges(cases)
    assert can_compile(network, two)
    return (
        (run_transient(network, one, bounds, tolerance=tolerance), one),
        (run_compiled(network, two, bounds, tolerance=tolerance, threads=threads), two),
    )


COMPILED = Agreement(
    "compiled-and-numpy",
    oracle="our own two implementations: numpy, and compiled by numba",
    what="times of lighting and burning open of all tree circuits, at three step tolerances",
    limit=1e-9,
    package="numba",
)


def assert_same(cases: Sequence[Case], tolerance: float, near: float = NEAR) -> None:
    (out, state), (fast, end) = both(cases, tolerance)
    for name in (*ARRAYS, "peak_branch_A"):
        mine, theirs = getattr(fast, name), getattr(out, name)
        np.testing.assert_allclose(mine, theirs, rtol=near, atol=1e-3 * near, err_msg=name)
    np.testing.assert_array_equal(fast.limited, out.limited)
    np.testing.assert_allclose(end.x, state.x, rtol=near, atol=near)
    np.testing.assert_array_equal(end.lit, state.lit)
    np.testing.assert_array_equal(end.parted, state.parted)


@pytest.mark.parametrize("tolerance", [1e-3, 1e-4, 1e-6])
@pytest.mark.parametrize("name", CASES)
def test_oracle_circuits(name: str, tolerance: float) -> None:
    assert_same([CASES[name]], tolerance)
    (out, _), (fast, _) = both([CASES[name]], tolerance)
    for times in ("light_s", "part_s"):
        COMPILED.close(getattr(fast, times), getattr(out, times))


def test_all_oracle_circuits_as_one_forest() -> None:
    cases = list(CASES.values())
    assert len(cases) >= 50
    assert_same(cases, 1e-5)


def test_same_steps() -> None:
    (out, _), (fast, _) = both([reference_ladder()], 1e-6)
    assert fast.steps == out.steps


@settings(max_examples=150, deadline=None)
@given(cases=st.lists(trees(drop=True), min_size=1, max_size=4))
def test_random_trees(cases: list[Case]) -> None:
    # Within the error control rather than by rounding: once a bridge that stays closed has come to
    # rest, its error estimate is rounding alone, and that sways the length of the steps.
    assert_same(cases, 1e-6, near=5e-6)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("capacitance_F", [math.inf, 0.5])
def test_ways_switched_at_different_times(seed: int, capacitance_F: float) -> None:
    rng = np.random.default_rng([seed, 78])
    bounds = np.concatenate([[0.0], np.cumsum(rng.uniform(0.0, 1.0, 5))])
    bounds[3] = bounds[2]
    igniters = [slow_igniter(rng) for _ in range(5)]
    source = Source(22.0, 0.3, capacitance_F=capacitance_F)
    case = ladder(source, rng.uniform(0.5, 2.5, 5).tolist(), igniters, 1.0)
    strings = tuple(
        evolve(s, lead_ohm=0.1, on=(*(bool(b) for b in rng.integers(0, 2, 4)), True))
        for s in case.strings
    )
    case = evolve(case, strings=strings, boundaries_s=tuple(bounds.tolist()))
    assert_same([case, reference_ladder()], 1e-5)


def test_state_carried_from_a_pulse_to_the_next() -> None:
    case = reference_ladder()
    network, bounds = ours.tree_network([case]), np.array([[0.0, 3.0]])
    one, two = ours.bridges([case]), ours.bridges([case])
    for _ in range(3):
        out = run_transient(network, one, bounds)
        fast = run_compiled(network, two, bounds)
        np.testing.assert_allclose(fast.light_s, out.light_s, rtol=NEAR)
        np.testing.assert_allclose(fast.part_s, out.part_s, rtol=NEAR)
        np.testing.assert_array_equal(two.parted, one.parted)
        one.cool(0.5)
        two.cool(0.5)
    assert two.parted.sum() >= 3


@pytest.mark.parametrize("bounds", [(0.0, 0.0), (2.0, 7.0)])
@pytest.mark.parametrize("start_K", [0.0, 400.0, 1200.0])
def test_edges_of_time_and_heat(bounds: tuple[float, float], start_K: float) -> None:
    hot = evolve(reference_ladder().igniters[0], start_K=start_K)
    case = ladder(Source(20.0, 0.3), [3.37] * 2, [hot] * 2, 1.0)
    assert_same([evolve(case, boundaries_s=bounds)], 1e-6)


def test_threads_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiled, "LEAST_PER_THREAD", 1)
    cases = [kind(np.random.default_rng([5, i])) for i, kind in enumerate(KINDS)]
    cases = [c for c, kind in zip(cases, KINDS, strict=True) if kind not in MESHES] * 5
    (_, _), (one, end) = both(cases, 1e-5)
    for threads in (2, 3, 7, 1000):
        _, (many, same) = both(cases, 1e-5, threads=threads)
        for name in (*ARRAYS, "peak_branch_A"):
            np.testing.assert_array_equal(getattr(many, name), getattr(one, name))
        np.testing.assert_array_equal(same.x, end.x)


def shape_of(case: Case) -> CircuitShape:
    network = ours.tree_network([case])
    return CircuitShape(
        network.parent, network.string_node, ours.bridges([case]).string, network.string_on
    )


def draws_of(case: Case, count: int, rng: Rng) -> DrawValues:
    """Scatter on everything, and some draws with a state from before."""
    network, state = ours.tree_network([case]), ours.bridges([case])

    def spread(values: np.ndarray) -> np.ndarray:
        return values * rng.uniform(0.9, 1.1, (count, values.size))

    def per_draw(name: str) -> np.ndarray:
        return spread(getattr(network.supply, name))[:, 0]

    supply = SupplyArrays(
        emf_V=per_draw("emf_V"),
        internal_ohm=per_draw("internal_ohm"),
        limit_A=per_draw("limit_A"),
        short_circuit_A=per_draw("short_circuit_A"),
        nominal_V=per_draw("nominal_V"),
        capacitance_F=per_draw("capacitance_F"),
    )
    numbers = {name: spread(getattr(state, name)) for name in PER_BRIDGE[:7]}
    parted = rng.random((count, state.x.size)) < 0.1
    return DrawValues(
        spread(network.branch_ohm),
        spread(network.string_fixed_ohm),
        spread(network.drop_V)[:, 0],
        supply,
        **numbers,
        lit=parted | (rng.random(parted.shape) < 0.05),
        parted=parted,
    )


def assert_same_draws(one: DrawOutcome, other: DrawOutcome, near: float) -> None:
    for attribute in DrawOutcome.__attrs_attrs__:
        mine, theirs = getattr(one, attribute.name), getattr(other, attribute.name)
        assert mine.shape == theirs.shape
        if near and mine.dtype != np.bool_:
            np.testing.assert_allclose(mine, theirs, rtol=near, atol=near, err_msg=attribute.name)
        else:
            np.testing.assert_array_equal(mine, theirs, err_msg=attribute.name)


DRAWN = [
    "slow_ladder-0",
    "series_strings-1",
    "residual-2",
    "fast_capacitor-3",
    "fold_back-1",
    "constant_current-2",
    "dropped-0",
    "stays_closed-1",
]


@pytest.mark.parametrize("name", DRAWN)
def test_draws(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiled, "LEAST_PER_THREAD", 10)
    case, rng = CASES[name], np.random.default_rng(3)
    shape, values = shape_of(case), draws_of(case, 60, rng)
    before = values.x.copy()
    draws = Draws(shape, values, np.array(case.boundaries_s))
    fast = run_draws(draws, tolerance=1e-5)
    assert_same_draws(fast, run_draws_numpy(draws, tolerance=1e-5), 1e-8)
    assert np.isfinite(fast.light_s).any()
    for threads in (2, 5):
        again = run_draws(draws, tolerance=1e-5, threads=threads)
        assert_same_draws(again, fast, 0.0)
    np.testing.assert_array_equal(values.x, before)


def test_draws_with_boundaries_of_their_own() -> None:
    case, rng = CASES["slow_tree-1"], np.random.default_rng(4)
    shape, values = shape_of(case), draws_of(case, 40, rng)
    bounds = np.stack([rng.uniform(0.0, 0.2, 40), rng.uniform(1.0, 5.0, 40)], axis=1)
    draws = Draws(shape, values, bounds)
    assert_same_draws(run_draws(draws), run_draws_numpy(draws), 1e-8)


def test_numpy_draws_in_several_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    case, rng = CASES["slow_tree-1"], np.random.default_rng(4)
    shape, values = shape_of(case), draws_of(case, 40, rng)
    bounds = np.stack([np.zeros(40), rng.uniform(1.0, 5.0, 40)], axis=1)
    draws = Draws(shape, values, bounds)
    whole = run_draws_numpy(draws)
    monkeypatch.setattr("bridgewire.physics.many_draws.MOST_AT_ONCE", 7)
    assert_same_draws(run_draws_numpy(draws), whole, 1e-12)


@pytest.mark.parametrize("run", [run_draws, run_draws_numpy])
def test_no_draws_at_all(run: RunDraws) -> None:
    case = reference_ladder()
    values = draws_of(case, 3, np.random.default_rng(1)).part(0, 0)
    assert run(Draws(shape_of(case), values, np.array([0.0, 1.0]))).light_s.shape == (0, 4)


def test_shapes_that_do_not_fit_are_refused_without_numba() -> None:
    case = reference_ladder()
    values = draws_of(case, 3, np.random.default_rng(1))
    shape = shape_of(case)
    with pytest.raises(ValueError, match="boundaries"):
        Draws(shape, values, np.array([0.0, 1.0, 2.0]))
    with pytest.raises(ValueError, match="boundaries"):
        Draws(shape, values, np.array([[0.0, 1.0], [0.0, 1.0]]))
    with pytest.raises(ValueError, match="tau_s: shape"):
        Draws(shape, evolve(values, tau_s=values.tau_s[:2]), np.array([0.0, 1.0]))
    one = evolve(values, supply=values.supply.take(np.array([0])))
    with pytest.raises(ValueError, match="supply: 1 elements"):
        Draws(shape, one, np.array([0.0, 1.0]))


@pytest.mark.parametrize(
    ("parent", "node", "bridge"),
    [([0, 0], [1], [0]), ([-1, 1], [1], [0]), ([-1, 0], [2], [0]), ([-1, 0], [1], [1])],
)
def test_shapes_without_numba_are_checked(
    parent: list[int], node: list[int], bridge: list[int]
) -> None:
    with pytest.raises(ValueError):
        CircuitShape(parent, node, bridge, np.ones((len(node), 1), dtype=bool))


def test_nan_is_an_error_and_no_endless_run() -> None:
    case = reference_ladder()
    values = draws_of(case, 2, np.random.default_rng(1))
    values.tau_s[1, 2] = np.nan
    with pytest.raises(ModelRangeError, match="circuit 1 cannot be followed"):
        run_draws(Draws(shape_of(case), values, np.array([0.0, 1.0])))


def test_models_from_outside_go_the_numpy_way() -> None:
    case = reference_ladder()
    network, state = ours.tree_network([case]), ours.bridges([case])
    model = IgniterModel("plain", lambda s: (s.current_A / s.threshold_A) ** 2)
    state.laws = (Law(model, np.array([0]), {}),)
    assert not can_compile(network, state)
    assert not can_compile(ours.nodal_network([case]), ours.bridges([case]))
    with pytest.raises(ValueError, match="models from outside"):
        run_compiled(network, state, ours.boundaries([case]))


def test_switch_in_the_environment_without_numba(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(compiled.SWITCH, "0")
    assert compiled.best_run_draws() is run_draws_numpy
    case = reference_ladder()
    assert not can_compile(ours.tree_network([case]), ours.bridges([case]))


def test_best_path_is_compiled_here() -> None:
    assert compiled.best_run_draws() is run_draws


def test_kept_code_of_other_sources_is_not_used(tmp_path: Path) -> None:
    # numba looks at the file of the kept function alone; the rest goes by a stamp of the sources.
    kernel = importlib.import_module("bridgewire.physics._kernel.run")
    compiling = importlib.import_module("bridgewire.physics._kernel.compiling")
    for file in Path(kernel.__file__ or "").parent.glob("*.py"):
        shutil.copy(file, tmp_path)
    assert compiling.sources_stamp(tmp_path) == kernel.STAMP
    changed = tmp_path / "stepping.py"
    changed.write_text(changed.read_text() + "# changed")
    assert compiling.sources_stamp(tmp_path) != kernel.STAMP
    run_compiled(
        ours.tree_network([reference_ladder()]),
        ours.bridges([reference_ladder()]),
        np.array([[0.0, 0.1]]),
    )
    assert all(f"default={kernel.STAMP}" in str(s[-1]) for s in kernel.run_range.signatures)


SCRIPT = """
import sys
{block}
import bridgewire.physics.compiled as c
assert "numba" not in sys.modules or sys.modules["numba"] is None
assert c.best_run_draws() is c.run_draws_numpy
assert not c.compiled_available()
try:
    c.run_compiled(None, None, None)
except ModuleNotFoundError as error:
    print(error)
"""


def test_works_without_numba_installed() -> None:
    block = "sys.modules['numba'] = None"
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT.format(block=block)], capture_output=True, text=True
    )
    assert "bridgewire[fast]" in done.stdout, done.stderr


def test_a_deep_chain_and_a_wide_star() -> None:
    rng = np.random.default_rng(8)
    bridge = Igniter(1.7, 0.006, 0.002, 680.0, 1080.0, 1e-4)
    deep = ladder(Source(48.0, 0.3), [0.2] * 60, [bridge] * 60, 4.0)
    star = evolve(deep, branches=tuple(evolve(b, start=1) for b in deep.branches))
    tree = random_tree(rng, [[bridge, bridge]] * 20, Source(60.0, 0.3), 4.0)
    assert_same([deep, star, tree], 1e-5)
