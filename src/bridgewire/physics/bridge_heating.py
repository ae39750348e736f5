"""Closed forms of bridge heating, one thermal node.

C dθ/dt + γ θ = I² R₀ (1 + α θ), θ the rise above ambient. Scaled: x = θ/θ_lit,
I₀ = √(γ θ_lit / R₀), τ = C/γ. All functions take numbers or arrays, SI units.

Source: L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961), the equation; the closed forms follow
from it.
"""

from __future__ import annotations

import numpy as np

from bridgewire.errors import ModelRangeError
from bridgewire.physics._arguments import FloatOrArray, need_positive, plain


def threshold_current(
    loss_W_per_K: FloatOrArray, lit_rise_K: FloatOrArray, bridge_ohm: FloatOrArray
) -> FloatOrArray:
    """Current that just holds a bridge at its ignition temperature, I₀ = √(γ θ_lit / R₀).

    Parameters
    ----------
    loss_W_per_K : float or array
        Heat lost per kelvin of rise, γ, W/K, above 0.
    lit_rise_K : float or array
        Rise above ambient that lights, θ_lit, K, above 0.
    bridge_ohm : float or array
        Bridge resistance at ambient temperature, R₀, ohm, above 0.

    Returns
    -------
    float or array
        I₀, A.

    Raises
    ------
    ModelRangeError
        If an argument is not above 0.

    Notes
    -----
    With a temperature coefficient α the steady current that holds θ_lit is I₀ / √(1 + α θ_lit); I₀
    itself is defined with the cold resistance everywhere in this library.

    References
    ----------
    L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961): the steady state of the heating equation.

    Examples
    --------
    >>> round(threshold_current(0.002, 680.0, 1.7), 4)
    0.8944
    """
    need_positive(loss_W_per_K=loss_W_per_K, lit_rise_K=lit_rise_K, bridge_ohm=bridge_ohm)
    return plain(np.sqrt(np.asarray(loss_W_per_K * lit_rise_K / bridge_ohm, dtype=float)))


def light_time(
    current_A: FloatOrArray,
    threshold_A: FloatOrArray,
    tau_s: FloatOrArray,
    start: FloatOrArray = 0.0,
) -> FloatOrArray:
    """Time to ignition at constant current, t = -τ ln(1 - (I₀/I)²) from cold.

    From a warm start x₀ it is -τ ln(1 - (1 - x₀) / ((I/I₀)² - x₀)).

    Parameters
    ----------
    current_A : float or array
        Current through the bridge, A; its sign does not matter.
    threshold_A, tau_s : float or array
        I₀ in A and τ in s, above 0.
    start : float or array
        Temperature rise at the start over the rise that lights it, x₀ (0 cold). At 1 or more the
        time is 0.

    Returns
    -------
    float or array
        Seconds; infinite for currents up to the threshold.

    Raises
    ------
    ModelRangeError
        If `threshold_A` or `tau_s` is not above 0, or `current_A` is not a number.

    Notes
    -----
    Exact for one thermal node, constant current and a resistance that does not change with heat (α
    = 0). With α above 0 a bridge lights sooner. Times below about 0.1 ms are shorter than what the
    model leaves out (inductance of the cable, heat on its way through the bridge).

    References
    ----------
    Solution of the equation of L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961).

    Examples
    --------
    >>> round(light_time(1.0, 0.4, 0.02) * 1e3, 5)
    3.48707
    >>> light_time(0.4, 0.4, 0.02)
    inf
    """
    need_positive(threshold_A=threshold_A, tau_s=tau_s)
    level = np.asarray((np.asarray(current_A, dtype=float) / threshold_A) ** 2)
    if bool(np.any(np.isnan(level))):
        raise ModelRangeError("current is not a number")
    x0, level, tau = np.broadcast_arrays(np.asarray(start, dtype=float), level, tau_s)
    time = np.full(level.shape, np.inf)
    lights = (level > 1.0) & (x0 < 1.0)
    time[lights] = -tau[lights] * np.log1p(-(1.0 - x0[lights]) / (level[lights] - x0[lights]))
    time[x0 >= 1.0] = 0.0
    return plain(time)


def required_current(
    pulse_s: FloatOrArray, threshold_A: FloatOrArray, tau_s: FloatOrArray
) -> FloatOrArray:
    """Smallest constant current that lights a cold bridge within a pulse, I = I₀ / √(1 - e^(-t/τ)).

    The inverse of `light_time`.

    Parameters
    ----------
    pulse_s : float or array
        Length of the pulse, t, s, above 0.
    threshold_A, tau_s : float or array
        I₀ in A and τ in s, above 0.

    Returns
    -------
    float or array
        Current, A; towards I₀ for long pulses, towards √(K/t) with K = I₀² τ for short ones.

    Raises
    ------
    ModelRangeError
        If an argument is not above 0.

    Notes
    -----
    Exact for one thermal node, constant current and α = 0. It is what just lights, without any
    margin.

    References
    ----------
    From the equation of L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961).

    Examples
    --------
    >>> round(required_current(3.48707e-3, 0.4, 0.02), 5)
    1.0
    """
    need_positive(pulse_s=pulse_s, threshold_A=threshold_A, tau_s=tau_s)
    ratio = np.asarray(pulse_s, dtype=float) / tau_s
    return plain(np.asarray(threshold_A / np.sqrt(-np.expm1(-ratio))))


def action(threshold_A: FloatOrArray, tau_s: FloatOrArray) -> FloatOrArray:
    """Firing impulse of a bridge heated without loss, K = I₀² τ.

    Parameters
    ----------
    threshold_A, tau_s : float or array
        I₀ in A and τ in s; not checked.

    Returns
    -------
    float or array
        K, A² s, which is the same as J/ohm; 1 mJ/ohm is 0.001 of it.

    Notes
    -----
    The limit of I² t for pulses much shorter than τ; longer pulses need more.

    References
    ----------
    From the equation of L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961): K = C θ_lit / R₀.

    Examples
    --------
    >>> round(action(0.4, 0.02) * 1e3, 6)
    3.2
    """
    return threshold_A**2 * tau_s


def light_energy(
    power_W: FloatOrArray, threshold_W: FloatOrArray, tau_s: FloatOrArray
) -> FloatOrArray:
    """Energy spent until ignition at constant power, E = -P τ ln(1 - P₀/P).

    Parameters
    ----------
    power_W : float or array
        Power in the bridge, P, W, not negative.
    threshold_W : float or array
        Power that just holds the bridge at its lighting temperature, P₀ = γ θ_lit, W, above 0.
    tau_s : float or array
        Time constant τ, s, above 0.

    Returns
    -------
    float or array
        Energy, J. Infinite for powers up to the threshold; falls to P₀ τ = C θ_lit for large
        powers.

    Raises
    ------
    ModelRangeError
        If `threshold_W` or `tau_s` is not above 0, or `power_W` is negative or not a number.

    Notes
    -----
    Exact for one thermal node and constant power.

    References
    ----------
    From the equation of L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961).

    Examples
    --------
    >>> round(light_energy(1e6, 1.36, 3.0), 4)
    4.08
    >>> light_energy(1.36, 1.36, 3.0)
    inf
    """
    power = np.asarray(power_W, dtype=float)
    if not bool(np.all(power >= 0.0)):
        raise ModelRangeError(f"power_W must not be negative, got {power_W}")
    need_positive(threshold_W=threshold_W)
    time = np.asarray(light_time(plain(np.sqrt(power)), np.sqrt(threshold_W), tau_s))
    return plain(
        np.asarray(np.where(np.isinf(time), np.inf, np.where(power > 0.0, power, 1.0) * time))
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
    """Temperature rise of a bridge at constant current.

    θ = θ₀ e^(-γ't/C) + (I² R₀ / γ') (1 - e^(-γ't/C)) with γ' = γ - α I² R₀.

    Parameters
    ----------
    time_s : float or array
        Time since the current was switched on, s, not negative.
    current_A : float or array
        Current, A; its sign does not matter.
    bridge_ohm : float or array
        Bridge resistance at ambient temperature, R₀, ohm, above 0.
    heat_capacity_J_per_K : float or array
        Heat capacity C, J/K, above 0.
    loss_W_per_K : float or array
        Heat lost per kelvin, γ, W/K; 0 is a bridge that loses none.
    alpha_per_K : float or array
        Temperature coefficient of the resistance, α, 1/K.
    start_K : float or array
        Rise at the start, θ₀, K.

    Returns
    -------
    float or array
        Rise above ambient, K.

    Raises
    ------
    ModelRangeError
        If `bridge_ohm` or `heat_capacity_J_per_K` is not above 0.

    Notes
    -----
    Exact for one thermal node. Where γ' is not above 0 the rise has no limit (runaway), and the
    same formula holds; near γ' = 0 no digits are lost.

    References
    ----------
    L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961).

    Examples
    --------
    >>> round(rise_at_constant_current(3.0, 1.0, 1.7, 0.006, 0.002), 3)
    537.302
    """
    need_positive(bridge_ohm=bridge_ohm, heat_capacity_J_per_K=heat_capacity_J_per_K)
    time = np.asarray(time_s, dtype=float)
    power = np.asarray(current_A, dtype=float) ** 2 * bridge_ohm
    rate = (loss_W_per_K - alpha_per_K * power) / heat_capacity_J_per_K
    z = np.asarray(rate * time)
    # (1 - e^-z)/z without loss of digits near 0
    safe = np.where(np.abs(z) < 1e-12, 1.0, z)
    mean = np.where(np.abs(z) < 1e-12, 1.0 - z / 2.0, -np.expm1(-safe) / safe)
    return plain(np.asarray(start_K * np.exp(-z) + power / heat_capacity_J_per_K * time * mean))


def cooling(time_s: FloatOrArray, start_K: FloatOrArray, tau_s: FloatOrArray) -> FloatOrArray:
    """Temperature rise left after a time without current, θ = θ₀ e^(-t/τ).

    Parameters
    ----------
    time_s : float or array
        Time without current, t, s, not negative.
    start_K : float or array
        Rise at its start, θ₀, K.
    tau_s : float or array
        Time constant τ, s, above 0.

    Returns
    -------
    float or array
        Rise above ambient, K.

    Raises
    ------
    ModelRangeError
        If `tau_s` is not above 0.

    Notes
    -----
    Exact for one thermal node at constant ambient temperature.

    References
    ----------
    L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961), without current.

    Examples
    --------
    >>> round(cooling(3.0, 680.0, 3.0), 2)
    250.16
    """
    need_positive(tau_s=tau_s)
    return plain(np.asarray(start_K * np.exp(-np.asarray(time_s, dtype=float) / tau_s)))
