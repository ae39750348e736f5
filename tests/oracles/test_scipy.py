"""Event times against scipy's solve_ivp, and against printed and closed-form values."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve

from tests.oracles import oracle_or_skip

oracle_or_skip("scipy")

from bridgewire.physics.transient import run_transient  # noqa: E402
from tests.agreements import Agreement  # noqa: E402
from tests.oracles import ours, reference  # noqa: E402
from tests.oracles.case import (  # noqa: E402
    Branch,
    Case,
    Events,
    Igniter,
    Source,
    String,
    ladder,
    reference_ladder,
    slow_igniter,
)
from tests.oracles.scenarios import MESHES, named_cases  # noqa: E402

pytestmark = pytest.mark.oracle

EVENTS = Agreement(
    "scipy-events",
    oracle="scipy `solve_ivp` (DOP853, tolerances 1e-10), restarted at every event",
    what="times of lighting and burning open, step tolerance 1e-7: ladders, trees, meshes, pulses",
    limit=2e-6,
    differences="Both solve the same equation; what is left is the error of our steps.",
    package="scipy",
)
COARSE = Agreement(
    "scipy-events-coarse",
    oracle="scipy `solve_ivp` (DOP853, tolerances 1e-10), restarted at every event",
    what="the same times with the step tolerance of a check, 1e-4",
    limit=1e-4,
    differences="A check takes long steps on purpose: its tolerance bands are far wider.",
    package="scipy",
)
DISCHARGE = Agreement(
    "capacitor-closed-form",
    oracle="Rosenthal's one-node equation (1961), solved in closed form for a capacitor",
    what="peak and end temperature and end voltage of a bridge on a capacitor, step tolerance 1e-6",
    limit=1e-6,
)
LIMIT = EVENTS.limit
CASES = named_cases()
MESH_NAMES = {kind.__name__ for kind in MESHES}


@pytest.mark.parametrize("name", CASES)
def test_event_times_agree(name: str) -> None:
    case = CASES[name]
    nodal = name.rsplit("-", 1)[0] in MESH_NAMES
    mine, theirs = ours.events(case, nodal=nodal), reference.events(case)
    EVENTS.within(mine.worst_error(theirs))
    light_K = np.array([igniter.light_K for igniter in case.igniters])
    np.testing.assert_allclose(mine.end_K / light_K, theirs.end_K / light_K, rtol=2e-5, atol=2e-5)
    assert mine.end_emf_V == pytest.approx(theirs.end_emf_V, abs=1e-5 * case.source.emf_V)


@pytest.mark.parametrize("name", CASES)
def test_coarse_steps_are_good_enough_for_a_check(name: str) -> None:
    case = CASES[name]
    nodal = name.rsplit("-", 1)[0] in MESH_NAMES
    mine = ours.events(case, tolerance=1e-4, nodal=nodal)
    COARSE.within(mine.worst_error(reference.events(case)))


@pytest.mark.parametrize("nodal", [False, True])
def test_reference_ladder(nodal: bool) -> None:
    # Four-rung ladder: event times and peaks that DOP853 at 1e-10 and ngspice both gave.
    case = reference_ladder()
    outcome, _ = ours.solve([case], nodal=nodal)
    np.testing.assert_allclose(outcome.light_s, [0.283273, 1.246208, 3.676682, np.nan], atol=6e-7)
    np.testing.assert_allclose(outcome.part_s, [0.462599, 1.905440, np.nan, np.nan], atol=6e-7)
    celsius = outcome.peak_x[2:] * 680.0 + 20.0
    np.testing.assert_allclose(celsius, [969.33, 133.85], atol=5.1e-3)


# Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961), the one-node equation for the discharge of a
# capacitor: rise = (P / C) tau tau_e / (tau_e - tau) (exp(-t / tau_e) - exp(-t / tau)) with
# tau_e = R_total C_s / 2, and (P / C) t exp(-t / tau) where the two are equal.
@pytest.mark.parametrize("ratio", [0.2, 0.9, 1.0, 1.0 + 1e-9, 3.0, 40.0])
@pytest.mark.parametrize("tolerance", [1e-4, 1e-6])
@pytest.mark.parametrize("top", [1.3, 1.0002, 0.9998])
def test_capacitor_discharge_closed_form(ratio: float, top: float, tolerance: float) -> None:
    bridge = Igniter(1.5, 5e-6, 5e-4, light_K=300.0)
    tau = bridge.tau_s
    tau_e = ratio * tau
    total_ohm = 2.5
    peak_time = tau if abs(ratio - 1) < 1e-6 else math.log(ratio) * tau * tau_e / (tau_e - tau)

    def shape(t: float) -> float:
        if abs(ratio - 1) < 1e-6:
            return t * math.exp(-t / tau)
        return tau * tau_e / (tau_e - tau) * (math.exp(-t / tau_e) - math.exp(-t / tau))

    # Choose the voltage so that the peak is `top` times the lighting level.
    emf_V = total_ohm * math.sqrt(top * 300.0 * 5e-6 / 1.5 / shape(peak_time))
    source = Source(emf_V, 0.4, capacitance_F=2.0 * tau_e / total_ohm)
    case = ladder(source, [0.6], [bridge], 12.0 * max(tau, tau_e))
    outcome, state = ours.solve([case], tolerance=tolerance)
    lit = float(outcome.light_s[0])
    near = 0.1 * tolerance
    if top < 1:
        assert math.isnan(lit)
    else:
        assert 0 < lit < peak_time
        assert top * shape(lit) / shape(peak_time) == pytest.approx(1.0, rel=near)
    assert outcome.peak_x[0] == pytest.approx(top, rel=near)
    end = 12.0 * max(tau, tau_e)
    assert state.x[0] == pytest.approx(top * shape(end) / shape(peak_time), abs=near)
    kept = math.exp(-end / (total_ohm * source.capacitance_F))
    assert outcome.end_emf_V[0] == pytest.approx(emf_V * kept, abs=10 * near * emf_V)
    if tolerance == 1e-6:
        DISCHARGE.close(outcome.peak_x[0], top)
        DISCHARGE.within(float(state.x[0]) - top * shape(end) / shape(peak_time))
        DISCHARGE.within((float(outcome.end_emf_V[0]) - emf_V * kept) / emf_V)


def _pulses(case: Case, on_s: list[float], off_s: float) -> tuple[Case, list[float]]:
    """The case with its pulse replaced by several, all ways off in between."""
    bounds = [0.0]
    for pulse in on_s:
        bounds += [bounds[-1] + pulse, bounds[-1] + pulse + off_s]
    pattern = tuple(k % 2 == 0 for k in range(len(bounds) - 1))
    strings = tuple(evolve(s, on=pattern) for s in case.strings)
    return evolve(case, boundaries_s=tuple(bounds), strings=strings), bounds


@pytest.mark.parametrize("seed", range(4))
def test_pulses_with_cooling_between(seed: int) -> None:
    rng = np.random.default_rng(seed)
    igniters = [slow_igniter(rng, parts=seed % 2 == 0) for _ in range(4)]
    case = ladder(Source(18.0, 0.3), [2.0] * 4, igniters, 1.0)
    case, bounds = _pulses(case, [0.25, 0.6, 1.5], 0.4)
    theirs = reference.events(case)
    assert np.isfinite(theirs.light_s).any()
    EVENTS.within(ours.events(case).worst_error(theirs))
    # The same by runs of one pulse each, cooled by hand in between.
    network, state = (
        ours.tree_network([evolve(case, boundaries_s=(0.0, 1.0))]),
        ours.bridges([case]),
    )
    light, part = np.full(4, np.nan), np.full(4, np.nan)
    for start, end, again in zip(bounds[::2], bounds[1::2], bounds[2::2], strict=False):
        outcome = run_transient(network, state, np.array([[0.0, end - start]]), tolerance=1e-7)
        light = np.where(np.isnan(light), start + outcome.light_s, light)
        part = np.where(np.isnan(part), start + outcome.part_s, part)
        state.cool(again - end)
    assert Events(light, part).worst_error(theirs) < LIMIT
    light_K = np.array([igniter.light_K for igniter in igniters])
    np.testing.assert_allclose(state.x, theirs.end_K / light_K, atol=1e-5)


@pytest.mark.parametrize("nodal", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_ways_switched_at_different_times(seed: int, nodal: bool) -> None:
    rng = np.random.default_rng([seed, 77])
    bounds = np.concatenate([[0.0], np.cumsum(rng.uniform(0.1, 1.2, 5))])
    igniters = [slow_igniter(rng) for _ in range(5)]
    case = ladder(Source(22.0, 0.3), rng.uniform(0.5, 2.5, 5).tolist(), igniters, 1.0)
    strings = tuple(
        evolve(s, lead_ohm=0.1, on=(*(bool(b) for b in rng.integers(0, 2, 4)), True))
        for s in case.strings
    )
    case = evolve(case, strings=strings, boundaries_s=tuple(bounds.tolist()))
    theirs = reference.events(case)
    assert np.isfinite(theirs.light_s).sum() >= 2
    EVENTS.within(ours.events(case, nodal=nodal).worst_error(theirs))


@pytest.mark.parametrize("capacitance_F", [math.inf, 1.5])
def test_fold_back_with_openings(capacitance_F: float) -> None:
    # The limit is in force until the first igniters part, and free afterwards.
    rng = np.random.default_rng(5)
    source = Source(24.0, 0.4, 10.0, 4.5, capacitance_F=capacitance_F)
    case = ladder(source, [0.6] * 4, [slow_igniter(rng) for _ in range(4)], 5.0)
    outcome, _ = ours.solve([case])
    assert outcome.limited[0]
    theirs = reference.events(case)
    assert np.isfinite(theirs.part_s).any()
    EVENTS.within(Events(outcome.light_s, outcome.part_s).worst_error(theirs))


def test_shared_return_of_two_ways() -> None:
    # Two ways with their own feeds and one return conductor, switched half a second apart.
    rng = np.random.default_rng(11)
    one, two = slow_igniter(rng), slow_igniter(rng)
    case = Case(
        Source(12.0, 0.2),
        (Branch(1, 2, 0.8), Branch(1, 3, 1.1), Branch(4, 0, 1.4)),
        (
            String(2, 4, 0.1, (one,), on=(True, True)),
            String(3, 4, 0.1, (two,), on=(False, True)),
        ),
        (0.0, 0.5, 6.0),
    )
    theirs = reference.events(case)
    assert np.isfinite(theirs.light_s).all()
    EVENTS.within(ours.events(case, nodal=True).worst_error(theirs))
