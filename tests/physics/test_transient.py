"""Stepping of bridges: closed forms, states that are carried over, and the handling of events."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.network import Floats, Ints
from bridgewire.physics.outcome import Outcome
from bridgewire.physics.transient import run_transient
from tests.oracles import ours
from tests.oracles.case import Case, Igniter, Source, ladder, reference_ladder

# A bridge with I0 = 0.4 A and tau = 20 ms: 1.5 ohm, gamma theta = 0.24 W.
BRIDGE = Igniter(1.5, 0.02 * 8e-4, 8e-4, 300.0)


def constant_current(current_A: float, igniter: Igniter, pulse_s: float) -> Case:
    """One igniter on a supply held at a current limit."""
    source = Source(100.0, 0.1, current_A, current_A)
    return ladder(source, [0.5], [igniter], pulse_s)


def lit(case: Case, *, tolerance: float = 1e-7) -> float:
    outcome, _ = ours.solve([case], tolerance=tolerance)
    return float(outcome.light_s[0])


def test_bridge_has_the_stated_threshold() -> None:
    assert pytest.approx(0.4) == BRIDGE.threshold_A
    assert pytest.approx(0.02) == BRIDGE.tau_s


# One-node bridge equation, Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961), constant current and
# no temperature coefficient: t = -tau ln(1 - (I0 / I)^2); values for I0 = 0.4 A, tau = 20 ms
# computed from it.
@pytest.mark.parametrize(
    ("current_A", "light_ms"), [(0.6, 11.7557), (1.0, 3.48707), (2.0, 0.81644)]
)
def test_constant_current(current_A: float, light_ms: float) -> None:
    exact = -0.02 * math.log(1 - (0.4 / current_A) ** 2)
    assert exact * 1e3 == pytest.approx(light_ms, abs=6e-5)
    assert lit(constant_current(current_A, BRIDGE, 0.2)) == pytest.approx(exact, rel=1e-9)


def test_threshold_current_never_lights() -> None:
    assert math.isnan(lit(constant_current(0.4 * (1 - 1e-9), BRIDGE, 10.0)))
    assert lit(constant_current(0.401, BRIDGE, 10.0)) > 0


def test_crossing_is_exact_whatever_the_step() -> None:
    exact = -0.02 * math.log(1 - (0.4 / 0.6) ** 2)
    for tolerance in (1e-3, 1e-6, 1e-9):
        case = constant_current(0.6, BRIDGE, 0.2)
        assert lit(case, tolerance=tolerance) == pytest.approx(exact, rel=1e-9)


# Same equation with a temperature coefficient: gamma' = gamma - alpha I^2 R0, tau' = C / gamma',
# with runaway once alpha I^2 R0 > gamma.
@pytest.mark.parametrize("alpha_per_K", [1e-4, 1e-3, 4e-3, 1.2e-2])
@pytest.mark.parametrize("current_A", [0.45, 0.7, 1.5])
def test_constant_current_with_temperature_coefficient(
    alpha_per_K: float, current_A: float
) -> None:
    igniter = evolve(BRIDGE, alpha_per_K=alpha_per_K)
    power = current_A**2 * igniter.cold_ohm
    loss = igniter.loss_W_per_K - alpha_per_K * power
    exact = -igniter.heat_J_per_K / loss * math.log(1 - loss * igniter.light_K / power)
    assert lit(constant_current(current_A, igniter, 1.0)) == pytest.approx(exact, rel=2e-5)


def test_runaway_parts() -> None:
    # alpha I^2 R0 = 2.43e-3 W/K is three times gamma: the rise grows without bound.
    igniter = evolve(BRIDGE, alpha_per_K=2e-3, open_K=30_000.0)
    power = 0.9**2 * 1.5
    loss = igniter.loss_W_per_K - 2e-3 * power
    exact = -igniter.heat_J_per_K / loss * math.log(1 - loss * igniter.open_K / power)
    assert loss < 0
    outcome, state = ours.solve([constant_current(0.9, igniter, 1.0)])
    assert outcome.part_s[0] == pytest.approx(exact, rel=1e-4)
    assert state.parted[0]


def test_error_falls_with_the_tolerance() -> None:
    case = reference_ladder()
    best = ours.events(case, tolerance=1e-10)
    errors = [ours.events(case, tolerance=t).worst_error(best) for t in (1e-4, 1e-6, 1e-8)]
    assert errors[0] < 3e-4
    assert errors[1] < 3e-6
    assert errors[2] < 1e-7
    assert errors[0] > errors[1] > errors[2]


def test_padded_boundaries_change_nothing() -> None:
    case = reference_ladder()
    network, on = ours.tree_network([case]), np.ones((4, 4), dtype=bool)
    padded = evolve(network, string_on=on)
    plain = run_transient(network, ours.bridges([case]), np.array([[0.0, 5.0]]))
    longer = run_transient(padded, ours.bridges([case]), np.array([[0.0, 5.0, 5.0, 5.0, 5.0]]))
    np.testing.assert_array_equal(plain.light_s, longer.light_s)
    np.testing.assert_array_equal(plain.peak_x, longer.peak_x)


def test_no_time_at_all() -> None:
    case = evolve(reference_ladder(), boundaries_s=(0.0, 0.0))
    outcome, state = ours.solve([case])
    assert np.isnan(outcome.light_s).all()
    assert state.x.tolist() == [0.0] * 4


def test_empty_segment_at_the_front() -> None:
    case = reference_ladder()
    network = evolve(
        ours.tree_network([case]),
        string_on=np.array([[False, True]] * 4),
    )
    outcome = run_transient(network, ours.bridges([case]), np.array([[0.0, 0.0, 5.0]]))
    plain, _ = ours.solve([case], tolerance=1e-6)
    np.testing.assert_allclose(outcome.light_s, plain.light_s, rtol=1e-9)


def test_times_count_from_the_first_boundary() -> None:
    case = reference_ladder()
    late = evolve(case, boundaries_s=(2.0, 7.0))
    np.testing.assert_allclose(
        ours.solve([late])[0].light_s, ours.solve([case])[0].light_s + 2.0, rtol=1e-9
    )


def second_pulse(state: Bridges, case: Case) -> Outcome:
    return run_transient(ours.tree_network([case]), state, np.array([[0.0, 5.0]]))


def test_parted_bridges_stay_parted() -> None:
    case = reference_ladder()
    first, state = ours.solve([case])
    assert state.parted.tolist() == [True, True, False, False]
    assert state.lit.tolist() == [True, True, True, False]
    again = second_pulse(state, case)
    assert np.isnan(again.light_s[:3]).all()
    assert np.isnan(again.part_s[:2]).all()
    assert again.peak_A[:2].tolist() == [0.0, 0.0]
    # The near ones are spent: the third opens, and only then does the last one light.
    assert again.part_s[2] < again.light_s[3]
    assert first.peak_A[3] < again.peak_A[3]


def test_warm_bridge_lights_sooner_by_the_closed_form() -> None:
    # From x0 with u = (I / I0)^2: t = tau ln((u - x0) / (u - 1)).
    warm = evolve(BRIDGE, start_K=180.0)
    u = (0.6 / 0.4) ** 2
    exact = 0.02 * math.log((u - 0.6) / (u - 1.0))
    assert lit(constant_current(0.6, warm, 0.2)) == pytest.approx(exact, rel=1e-9)


def test_bridge_that_starts_above_its_parting_level_parts_at_once() -> None:
    hot = evolve(BRIDGE, open_K=450.0, start_K=500.0)
    outcome, state = ours.solve([constant_current(0.6, hot, 0.2)])
    assert state.parted[0]
    assert outcome.light_s[0] == 0.0
    assert outcome.part_s[0] < 1e-9


def test_cooling_is_exponential() -> None:
    state = ours.bridges([constant_current(0.6, evolve(BRIDGE, start_K=300.0), 0.2)])
    state.cool(0.02 * math.log(2.0))
    assert state.x[0] == pytest.approx(0.5)


def test_segment_without_current_cools() -> None:
    case = constant_current(0.3, evolve(BRIDGE, start_K=240.0), 0.05)
    off = evolve(case, strings=tuple(evolve(s, on=(False,)) for s in case.strings))
    outcome, state = ours.solve([off])
    assert state.x[0] == pytest.approx(0.8 * math.exp(-0.05 / 0.02), rel=1e-9)
    assert outcome.peak_A[0] == 0.0
    assert outcome.charge_C[0] == 0.0


def after(ohm: float) -> tuple[Outcome, Floats]:
    """Two equal-lead strings, of which the first parts early and ends at `ohm`."""
    quick = Igniter(1.0, 1e-5, 5e-4, 300.0, open_K=400.0, after_ohm=ohm)
    slow = Igniter(1.0, 0.01, 2e-3, 600.0)
    case = ladder(Source(12.0, 1.0), [1.0, 1.0], [quick, slow], 1.0)
    case = evolve(case, strings=tuple(evolve(s, lead_ohm=0.5) for s in case.strings))
    kept: list[Floats] = []

    def keep(_time: Floats, _circuits: Ints, _x: Floats, string_A: Floats) -> None:
        kept.append(string_A)

    outcome = run_transient(
        ours.tree_network([case]), ours.bridges([case]), np.array([[0.0, 1.0]]), trace=keep
    )
    return outcome, kept[-1]


@pytest.mark.parametrize("ohm", [0.0, 2.0, 50.0, math.inf])
def test_state_after_parting(ohm: float) -> None:
    outcome, current = after(ohm)
    assert outcome.part_s[0] > outcome.light_s[0]
    # 12 V, 2 ohm to the first node; there 0.5 + ohm in parallel with 2.5 ohm.
    one_S = 0.0 if math.isinf(ohm) else 1 / (0.5 + ohm)
    volts = 12.0 / (1.0 + 2.0 * (one_S + 1 / 2.5))
    np.testing.assert_allclose(current, [volts * one_S, volts / 2.5], rtol=1e-9)


@pytest.mark.parametrize("nodal", [False, True])
def test_short_without_any_resistance_in_its_string(nodal: bool) -> None:
    # No leads at all, and a bridge that ends shorted: all of the current goes through it.
    bridge = Igniter(1.0, 1e-5, 5e-4, 300.0, open_K=400.0, after_ohm=0.0)
    case = ladder(Source(12.0, 1.0), [1.0], [bridge], 1.0)
    outcome, state = ours.solve([case], nodal=nodal)
    assert state.parted[0]
    assert outcome.peak_supply_A[0] == pytest.approx(6.0, rel=1e-6)
    assert np.isfinite(state.x).all()


def test_parting_at_the_lighting_level_is_also_lighting() -> None:
    bridge = evolve(BRIDGE, open_K=BRIDGE.light_K)
    outcome, state = ours.solve([constant_current(0.6, bridge, 0.2)])
    assert state.parted[0]
    assert state.lit[0]
    assert outcome.light_s[0] == pytest.approx(outcome.part_s[0], rel=1e-6)


def test_of_two_in_series_the_weaker_parts_and_the_other_keeps_what_it_has() -> None:
    weak = Igniter(1.0, 1e-5, 5e-4, 250.0, open_K=400.0)
    strong = Igniter(1.0, 4e-5, 5e-4, 250.0, open_K=400.0)
    case = ladder(Source(12.0, 1.0), [1.0], [weak], 0.01)
    case = evolve(case, strings=(evolve(case.strings[0], igniters=(weak, strong)),))
    outcome, state = ours.solve([case])
    assert state.parted.tolist() == [True, False]
    assert outcome.peak_x[1] < 400.0 / 250.0
    assert math.isnan(outcome.part_s[1])


def test_peaks_are_those_of_the_circuit() -> None:
    case = constant_current(0.6, BRIDGE, 0.2)
    outcome, _ = ours.solve([case])
    assert outcome.peak_A[0] == pytest.approx(0.6)
    assert outcome.light_A[0] == pytest.approx(0.6)
    assert outcome.charge_C[0] == pytest.approx(0.12)
    assert outcome.limited[0]
    # 0.6 A in 0.5 + 1.5 ohm.
    assert outcome.lowest_supply_V[0] == pytest.approx(1.2)
    # At constant current x ends at u (1 - exp(-t / tau)).
    assert outcome.peak_x[0] == pytest.approx(2.25 * (1 - math.exp(-10)))


def test_peak_current_is_not_that_of_a_refused_step() -> None:
    # The first step tried runs past the moment the fast bridge parts; the currents it foresaw
    # for the other one never flow.
    fast = Igniter(1.0, 9e-7, 3e-4, 200.0, open_K=400.0)
    warming = Igniter(1.0, 5.9e-6, 2e-3, 200.0, alpha_per_K=1.4e-4)
    case = ladder(Source(2.0, 0.25), [0.0, 0.0], [warming, fast], 0.01)
    case = evolve(case, strings=tuple(evolve(s, lead_ohm=1.0) for s in case.strings))
    rough, _ = ours.solve([case], tolerance=1e-6)
    fine, _ = ours.solve([case], tolerance=1e-9)
    np.testing.assert_allclose(rough.peak_A, fine.peak_A, rtol=1e-6)


def test_watched_bridge_keeps_the_currents_at_its_ignition() -> None:
    case = reference_ladder()
    watch = np.array([False, True, False, False])
    outcome = run_transient(
        ours.tree_network([case]), ours.bridges([case]), np.array([[0.0, 5.0]]), watch=watch
    )
    assert list(outcome.snapshots) == [1]
    strings = outcome.snapshots[1].string_A
    assert strings[0] == 0.0
    assert strings[1] == pytest.approx(outcome.light_A[1], rel=1e-5)
    assert strings[1] > strings[2] > strings[3] > 0


def test_trace_sees_rising_times_up_to_the_end() -> None:
    times: list[float] = []
    case = reference_ladder()
    run_transient(
        ours.tree_network([case]),
        ours.bridges([case]),
        np.array([[0.0, 5.0]]),
        trace=lambda time, _circuits, _x, _current: times.append(float(time[0])),
    )
    assert times == sorted(times)
    assert times[-1] == 5.0
