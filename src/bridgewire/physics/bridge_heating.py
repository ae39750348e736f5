"""Closed forms of bridge heating, one thermal node.

C dθ/dt + γ θ = I² R₀ (1 + α θ), θ the rise above ambient. Scaled: x = θ/θ_lit,
I₀ = √(γ θ_lit / R₀), τ = C/γ. All functions take numbers or arrays, SI units.

Source: L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961), the equation; the closed forms follow
from it.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from bridgewire.errors import ModelRangeError

FloatOrArray: TypeAlias = float | NDArray[np.float64]

_NEAR = 1e-6
"""Relative distance of two time constants below which the equal form is used."""


def _plain(value: NDArray[np.float64]) -> FloatOrArray:
    return float(value) if value.ndim == 0 else value


def _need_positive(**values: FloatOrArray) -> None:
    for name, value in values.items():
        if not bool(np.all(np.asarray(value) > 0.0)):
            raise ModelRangeError(f"{name} must be above 0, got {value}")


def threshold_current(
    loss_W_per_K: FloatOrArray, lit_rise_K: FloatOrArray, bridge_ohm: FloatOrArray
) -> FloatOrArray:
    """Current that just holds a bridge at its ignition temperature, I₀ = √(γ θ_lit / R₀), A.

    Raises
    ------
    ModelRangeError
        If an argument is not above 0.

    Examples
    --------
    >>> round(threshold_current(0.002, 680.0, 1.7), 4)
    0.8944
    """
    _need_positive(loss_W_per_K=loss_W_per_K, lit_rise_K=lit_rise_K, bridge_ohm=bridge_ohm)
    return _plain(np.sqrt(np.asarray(loss_W_per_K * lit_rise_K / bridge_ohm, dtype=float)))


def light_time(
    current_A: FloatOrArray,
    threshold_A: FloatOrArray,
    tau_s: FloatOrArray,
    start: FloatOrArray = 0.0,
) -> FloatOrArray:
    """Time to ignition at constant current, α = 0: t = -τ ln(1 - (I₀/I)²).

    Parameters
    ----------
    current_A : float or array
        Current through the bridge, A; its sign does not matter.
    threshold_A, tau_s : float or array
        I₀ in A and τ in s, above 0.
    start : float or array
        Temperature rise at the start over the rise that lights it (0 cold). At 1 or more the
        time is 0.

    Returns
    -------
    float or array
        Seconds; infinite for currents up to the threshold.

    Raises
    ------
    ModelRangeError
        If `threshold_A` or `tau_s` is not above 0, or `current_A` is not a number.

    Examples
    --------
    >>> round(light_time(1.0, 0.4, 0.02) * 1e3, 5)
    3.48707
    >>> light_time(0.4, 0.4, 0.02)
    inf
    """
    _need_positive(threshold_A=threshold_A, tau_s=tau_s)
    level = np.asarray((np.asarray(current_A, dtype=float) / threshold_A) ** 2)
    if bool(np.any(np.isnan(level))):
        raise ModelRangeError("current is not a number")
    x0, level, tau = np.broadcast_arrays(np.asarray(start, dtype=float), level, tau_s)
    time = np.full(level.shape, np.inf)
    lights = (level > 1.0) & (x0 < 1.0)
    time[lights] = -tau[lights] * np.log1p(-(1.0 - x0[lights]) / (level[lights] - x0[lights]))
    time[x0 >= 1.0] = 0.0
    return _plain(time)


def required_current(
    pulse_s: FloatOrArray, threshold_A: FloatOrArray, tau_s: FloatOrArray
) -> FloatOrArray:
    """Smallest constant current that lights a cold bridge within a pulse, α = 0.

    I = I₀ / √(1 - e^(-t/τ)); the inverse of `light_time`.

    Raises
    ------
    ModelRangeError
        If an argument is not above 0.

    Examples
    --------
    >>> round(required_current(3.48707e-3, 0.4, 0.02), 5)
    1.0
    """
    _need_positive(pulse_s=pulse_s, threshold_A=threshold_A, tau_s=tau_s)
    ratio = np.asarray(pulse_s, dtype=float) / tau_s
    return _plain(np.asarray(threshold_A / np.sqrt(-np.expm1(-ratio))))


def action(threshold_A: FloatOrArray, tau_s: FloatOrArray) -> FloatOrArray:
    """Firing impulse of a bridge heated without loss, K = I₀² τ, A² s (the same as J/ohm).

    Examples
    --------
    >>> round(action(0.4, 0.02) * 1e3, 6)
    3.2
    """
    return threshold_A**2 * tau_s


def light_energy(
    power_W: FloatOrArray, threshold_W: FloatOrArray, tau_s: FloatOrArray
) -> FloatOrArray:
    """Energy spent until ignition at constant power, E = -P τ ln(1 - P₀/P), J.

    Infinite for powers up to the threshold; falls to P₀ τ = C θ_lit for large powers.

    Examples
    --------
    >>> round(light_energy(1e6, 1.36, 3.0), 4)
    4.08
    """
    power = np.asarray(power_W, dtype=float)
    return _plain(
        np.asarray(power * light_time(_plain(np.sqrt(power)), np.sqrt(threshold_W), tau_s))
    )


def rise_at_constant_current(
    time_s: FloatOrArray,
    current_A: FloatOrArray,
    bridge_ohm: FloatOrArray,
    heat_capacity_J_per_K: FloatOrArray,
    loss_W_per_K: FloatOrArray,
    alpha_per_K: FloatOrArray = 0.0,
    start_K: FloatOrArray = 0.0,
) -> FloatOrArray:
    """Temperature rise of a bridge at constant current, K.

    With a temperature coefficient the loss becomes γ' = γ - α I² R₀ and the time constant
    C/γ'; where γ' is not above 0 the rise has no limit (runaway) and the same formula holds.

    Examples
    --------
    >>> round(rise_at_constant_current(3.0, 1.0, 1.7, 0.006, 0.002), 3)
    537.302
    """
    _need_positive(bridge_ohm=bridge_ohm, heat_capacity_J_per_K=heat_capacity_J_per_K)
    time = np.asarray(time_s, dtype=float)
    power = np.asarray(current_A, dtype=float) ** 2 * bridge_ohm
    rate = (loss_W_per_K - alpha_per_K * power) / heat_capacity_J_per_K
    z = np.asarray(rate * time)
    # (1 - e^-z)/z without loss of digits near 0
    safe = np.where(np.abs(z) < 1e-12, 1.0, z)
    mean = np.where(np.abs(z) < 1e-12, 1.0 - z / 2.0, -np.expm1(-safe) / safe)
    return _plain(np.asarray(start_K * np.exp(-z) + power / heat_capacity_J_per_K * time * mean))


def cooling(time_s: FloatOrArray, start_K: FloatOrArray, tau_s: FloatOrArray) -> FloatOrArray:
    """Temperature rise left after a time without current, K: θ = θ₀ e^(-t/τ).

    Examples
    --------
    >>> round(cooling(3.0, 680.0, 3.0), 2)
    250.16
    """
    _need_positive(tau_s=tau_s)
    return _plain(np.asarray(start_K * np.exp(-np.asarray(time_s, dtype=float) / tau_s)))


def capacitor_rise(
    time_s: FloatOrArray,
    charged_V: FloatOrArray,
    capacitance_F: FloatOrArray,
    total_ohm: FloatOrArray,
    bridge_ohm: FloatOrArray,
    heat_capacity_J_per_K: FloatOrArray,
    loss_W_per_K: FloatOrArray,
) -> FloatOrArray:
    """Temperature rise of a bridge on a discharging capacitor, α = 0, K.

    Power (V₀² R/R_t²) e^(-t/τₑ) with τₑ = R_t C_s / 2, R_t the whole circuit with the bridge.
    Holds for τₑ ≠ τ and for τₑ = τ.

    Raises
    ------
    ModelRangeError
        If a resistance, capacitance or thermal value is not above 0.

    Examples
    --------
    >>> round(capacitor_rise(0.01, 48.0, 4.7e-3, 8.0, 1.5, 1e-4, 0.02), 3)
    1663.102
    """
    tau, tau_e, peak_W = _capacitor_constants(
        charged_V, capacitance_F, total_ohm, bridge_ohm, heat_capacity_J_per_K, loss_W_per_K
    )
    time = np.asarray(time_s, dtype=float)
    # θ = (P/C) e^(-t/τ) t (e^z - 1)/z with z = t (1/τ - 1/τe): one form for both branches
    z = np.asarray(time * (1.0 / tau - 1.0 / tau_e))
    near = np.abs(z) < 1e-9
    safe = np.where(near, 1.0, z)
    slower = np.minimum(1.0 / tau, 1.0 / tau_e)
    mean = np.where(near, 1.0, -np.expm1(-np.abs(safe)) / np.abs(safe))
    return _plain(np.asarray(peak_W / heat_capacity_J_per_K * time * np.exp(-slower * time) * mean))


def capacitor_peak_time(
    capacitance_F: FloatOrArray,
    total_ohm: FloatOrArray,
    heat_capacity_J_per_K: FloatOrArray,
    loss_W_per_K: FloatOrArray,
) -> FloatOrArray:
    """Time at which a bridge on a discharging capacitor is hottest, s.

    t* = ln(τₑ/τ) τ τₑ / (τₑ - τ), and τ where the two are equal.

    Examples
    --------
    >>> round(capacitor_peak_time(4.7e-3, 8.0, 1e-4, 0.02), 6)
    0.009021
    """
    tau, tau_e, _ = _capacitor_constants(
        1.0, capacitance_F, total_ohm, 1.0, heat_capacity_J_per_K, loss_W_per_K
    )
    near = np.abs(tau_e / tau - 1.0) < _NEAR
    gap = np.where(near, 1.0, tau_e - tau)
    return _plain(np.where(near, np.sqrt(tau * tau_e), np.log(tau_e / tau) * tau * tau_e / gap))


def _capacitor_constants(
    charged_V: FloatOrArray,
    capacitance_F: FloatOrArray,
    total_ohm: FloatOrArray,
    bridge_ohm: FloatOrArray,
    heat_capacity_J_per_K: FloatOrArray,
    loss_W_per_K: FloatOrArray,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    _need_positive(
        capacitance_F=capacitance_F,
        total_ohm=total_ohm,
        bridge_ohm=bridge_ohm,
        heat_capacity_J_per_K=heat_capacity_J_per_K,
        loss_W_per_K=loss_W_per_K,
    )
    tau = np.asarray(heat_capacity_J_per_K / loss_W_per_K, dtype=float)
    tau_e = np.asarray(total_ohm * capacitance_F / 2.0, dtype=float)
    volts = np.asarray(charged_V, dtype=float)
    return tau, tau_e, np.asarray(volts**2 * bridge_ohm / np.asarray(total_ohm) ** 2)
