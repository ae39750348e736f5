"""Closed forms of bridge heating against each other and against a numerical integration."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bridgewire.errors import ModelRangeError
from bridgewire.physics import bridge_heating as bridge
from bridgewire.physics import capacitor_heating as capacitor
from tests.agreements import Agreement

RISES = Agreement(
    "closed-form-rises",
    oracle="scipy `solve_ivp`, relative tolerance 1e-10 or finer",
    what="temperature rises by closed forms: constant current with a temperature coefficient, "
    "capacitor discharge",
    limit=1e-7,
    package="scipy",
)

currents = st.floats(0.01, 50.0)
thresholds = st.floats(0.05, 5.0)
taus = st.floats(1e-4, 20.0)


@given(current=currents, threshold=thresholds, tau=taus)
def test_light_time_needs_more_than_the_threshold(
    current: float, threshold: float, tau: float
) -> None:
    time = float(bridge.light_time(current, threshold, tau))
    assert math.isinf(time) == (current / threshold <= 1.0)
    assert time > 0.0


@given(threshold=thresholds, tau=taus, ratio=st.floats(1.001, 30.0))
def test_required_current_is_the_inverse_of_light_time(
    threshold: float, tau: float, ratio: float
) -> None:
    pulse = float(bridge.light_time(ratio * threshold, threshold, tau))
    back = float(bridge.required_current(pulse, threshold, tau))
    assert back == pytest.approx(ratio * threshold, rel=1e-9)


@given(threshold=thresholds, tau=taus, ratio=st.floats(1.01, 30.0), start=st.floats(0.0, 0.99))
def test_a_warm_bridge_lights_sooner(
    threshold: float, tau: float, ratio: float, start: float
) -> None:
    cold = float(bridge.light_time(ratio * threshold, threshold, tau))
    warm = float(bridge.light_time(ratio * threshold, threshold, tau, start))
    assert warm <= cold * (1 + 1e-12)
    # heat to `start` first, then on: the two times add up
    first = -tau * math.log1p(-start / ratio**2)
    assert first + warm == pytest.approx(cold, rel=1e-6)


@given(threshold=thresholds, tau=taus, ratio=st.floats(1.01, 30.0))
def test_never_below_the_adiabatic_time(threshold: float, tau: float, ratio: float) -> None:
    current = ratio * threshold
    impulse = float(bridge.action(threshold, tau))
    assert current**2 * float(bridge.light_time(current, threshold, tau)) >= impulse * (1 - 1e-12)


def test_the_hot_start_and_arrays() -> None:
    times = bridge.light_time(np.array([0.3, 0.4, 1.0]), 0.4, 0.02, start=np.array([1.2, 0.0, 0.0]))
    assert np.asarray(times).tolist() == [0.0, math.inf, pytest.approx(3.48707e-3, rel=1e-5)]


@pytest.mark.parametrize("start", [1.0, 1.5, 2.0, 4.0])
def test_a_bridge_hotter_than_the_current_would_make_it_needs_no_time(start: float) -> None:
    # The current would hold it at 4 and at exactly `start`; no division by 0 either way.
    assert bridge.light_time(0.8, 0.4, 0.02, start) == 0.0
    assert bridge.light_time(0.4 * math.sqrt(start), 0.4, 0.02, start) == 0.0


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan])
def test_values_out_of_range(bad: float) -> None:
    with pytest.raises(ModelRangeError):
        bridge.light_time(1.0, bad, 0.02)
    with pytest.raises(ModelRangeError):
        bridge.light_time(1.0, 0.4, bad)
    with pytest.raises(ModelRangeError):
        bridge.required_current(bad, 0.4, 0.02)
    with pytest.raises(ModelRangeError):
        capacitor.capacitor_rise(0.1, 48.0, bad, 8.0, 1.5, 1e-4, 0.02)
    with pytest.raises(ModelRangeError):
        bridge.threshold_current(bad, 680.0, 1.7)


def test_a_current_that_is_no_number() -> None:
    with pytest.raises(ModelRangeError, match="not a number"):
        bridge.light_time(math.nan, 0.4, 0.02)


@pytest.mark.oracle
@pytest.mark.parametrize("alpha", [0.0, 1e-4, 4e-3])
def test_constant_current_against_scipy(alpha: float) -> None:
    C, gamma, R0, current = 0.006, 0.002, 1.7, 1.5
    times = np.array([0.1, 1.0, 4.0])

    def rate(_t: float, y: np.ndarray) -> np.ndarray:
        return np.asarray((current**2 * R0 * (1 + alpha * y) - gamma * y) / C)

    end = solve_ivp(rate, (0, 4), [30.0], t_eval=times, rtol=1e-10, atol=1e-10)
    ours = bridge.rise_at_constant_current(times, current, R0, C, gamma, alpha, 30.0)
    RISES.close(ours, end.y[0])


def test_runaway_where_the_coefficient_outruns_the_loss() -> None:
    # α I² R₀ = γ: no loss left, the rise grows with time
    rise = bridge.rise_at_constant_current(np.array([1.0, 2.0]), 1.0, 2.0, 0.01, 0.002, 0.001)
    np.testing.assert_allclose(rise, [200.0, 400.0], rtol=1e-12)


@pytest.mark.parametrize("alpha", [0.0, 1e-14, 1e-13, 1e-11, 1e-9])
def test_next_to_no_loss_heats_as_no_loss(alpha: float) -> None:
    # 2 W for 3 s in 0.5 J/K; what is left of loss or gain is below a millionth of a percent.
    for loss in (0.0, 2.0 * alpha, 4.0 * alpha):
        rise = bridge.rise_at_constant_current(3.0, 1.0, 2.0, 0.5, loss, alpha)
        assert rise == pytest.approx(12.0, rel=3e-8)


@pytest.mark.oracle
@pytest.mark.parametrize("tau_ratio", [0.1, 0.999, 1.0, 1.001, 20.0])
def test_capacitor_against_scipy(tau_ratio: float) -> None:
    V, cap, Rt, R, C = 48.0, 4.0e-3, 8.0, 1.5, 1e-3
    tau_e = Rt * cap / 2
    gamma = C / (tau_e * tau_ratio)
    times = np.array([0.2, 1.0, 3.0]) * tau_e

    def rate(t: float, y: np.ndarray) -> np.ndarray:
        return np.asarray((V**2 * R / Rt**2 * math.exp(-t / tau_e) - gamma * y) / C)

    end = solve_ivp(rate, (0, times[-1]), [0.0], t_eval=times, rtol=1e-11, atol=1e-9)
    ours = capacitor.capacitor_rise(times, V, cap, Rt, R, C, gamma)
    RISES.close(ours, end.y[0])


@given(tau_ratio=st.one_of(st.floats(0.01, 100.0), st.floats(0.99999, 1.00001)))
def test_capacitor_peak_is_the_peak(tau_ratio: float) -> None:
    cap, Rt, C = 4.0e-3, 8.0, 1e-3
    tau_e = Rt * cap / 2
    gamma = C / (tau_e * tau_ratio)
    peak = float(capacitor.capacitor_peak_time(cap, Rt, C, gamma))
    around = peak * np.array([0.98, 1.0, 1.02])
    rise = np.asarray(capacitor.capacitor_rise(around, 48.0, cap, Rt, 1.5, C, gamma))
    assert rise[1] > rise[0]
    assert rise[1] > rise[2]


@pytest.mark.parametrize("tau_ratio", [0.05, 0.5, 0.9, 0.99999, 1.0, 1.00001, 1.1, 1.9, 30.0])
def test_at_the_peak_both_decays_are_equally_steep(tau_ratio: float) -> None:
    # θ goes as e^(-t/τ) - e^(-t/τe); its slope is 0 where e^(-t/τ)/τ = e^(-t/τe)/τe.
    cap, Rt, C = 4.0e-3, 8.0, 1e-3
    tau_e = Rt * cap / 2
    tau = tau_e * tau_ratio
    peak = float(capacitor.capacitor_peak_time(cap, Rt, C, C / tau))
    assert math.exp(-peak / tau) / tau == pytest.approx(math.exp(-peak / tau_e) / tau_e, rel=1e-9)
    # The logarithmic mean lies between the two.
    assert min(tau, tau_e) * (1 - 1e-9) <= peak <= max(tau, tau_e) * (1 + 1e-9)


def test_capacitor_with_equal_time_constants() -> None:
    # peak at τ, P τ / (C e)
    cap, Rt, C, R, V = 4.0e-3, 8.0, 1e-3, 1.5, 48.0
    tau = Rt * cap / 2
    gamma = C / tau
    assert capacitor.capacitor_peak_time(cap, Rt, C, gamma) == pytest.approx(tau, rel=1e-12)
    rise = capacitor.capacitor_rise(tau, V, cap, Rt, R, C, gamma)
    assert rise == pytest.approx(V**2 * R / Rt**2 * tau / (C * math.e), rel=1e-9)


def test_cooling_halves_in_tau_ln2() -> None:
    assert bridge.cooling(3.0 * math.log(2), 680.0, 3.0) == pytest.approx(340.0)


@given(power=st.floats(1.01, 1e6))
def test_energy_is_never_below_the_lossless_energy(power: float) -> None:
    energy = float(bridge.light_energy(power, 1.0, 2.0))
    assert energy >= 2.0 * (1 - 1e-9)


def test_no_power_never_lights_and_negative_power_is_refused() -> None:
    powers = np.array([0.0, 1.0, 1.36, 1e6])
    energy = np.asarray(bridge.light_energy(powers, 1.36, 3.0))
    assert np.isinf(energy[:3]).all()
    assert energy[3] == pytest.approx(1.36 * 3.0, rel=1e-6)
    with pytest.raises(ModelRangeError, match="power_W must not be negative"):
        bridge.light_energy(-1.0, 1.36, 3.0)
