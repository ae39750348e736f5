"""Closed forms of a bridge on a discharging capacitor, one thermal node; see `bridge_heating`."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bridgewire.physics._arguments import FloatOrArray, need_positive, plain

_NEAR = 1e-6
"""Relative distance of two time constants below which the equal form is used."""


def capacitor_rise(
    time_s: FloatOrArray,
    charged_V: FloatOrArray,
    capacitance_F: FloatOrArray,
    total_ohm: FloatOrArray,
    bridge_ohm: FloatOrArray,
    heat_capacity_J_per_K: FloatOrArray,
    loss_W_per_K: FloatOrArray,
) -> FloatOrArray:
    """Temperature rise of a bridge on a discharging capacitor, from cold.

    θ = (V₀² R₀ / (R_t² C)) (τ τₑ / (τₑ - τ)) (e^(-t/τₑ) - e^(-t/τ)) with τₑ = R_t C_s / 2.

    Parameters
    ----------
    time_s : float or array
        Time since the capacitor was switched on, t, s, not negative.
    charged_V : float or array
        Voltage of the full capacitor, V₀, V.
    capacitance_F : float or array
        Capacitance C_s, F, above 0.
    total_ohm : float or array
        Resistance of the whole circuit, the bridge in it, R_t, ohm, above 0.
    bridge_ohm : float or array
        Bridge resistance R₀, ohm, above 0.
    heat_capacity_J_per_K, loss_W_per_K : float or array
        C in J/K and γ in W/K, above 0; τ = C/γ.

    Returns
    -------
    float or array
        Rise above ambient, K.

    Raises
    ------
    ModelRangeError
        If a resistance, capacitance or thermal value is not above 0.

    Notes
    -----
    Exact for one thermal node and resistances that do not change (α = 0, no other bridge parts).
    Holds for τₑ = τ as well, and loses no digits near it.

    References
    ----------
    L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961), solved for an exponential current.

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
    return plain(np.asarray(peak_W / heat_capacity_J_per_K * time * np.exp(-slower * time) * mean))


def capacitor_peak_time(
    capacitance_F: FloatOrArray,
    total_ohm: FloatOrArray,
    heat_capacity_J_per_K: FloatOrArray,
    loss_W_per_K: FloatOrArray,
) -> FloatOrArray:
    """Time at which a bridge on a discharging capacitor is hottest.

    t* = ln(τₑ/τ) τ τₑ / (τₑ - τ), and τ where the two are equal; τ = C/γ, τₑ = R_t C_s / 2.

    Parameters
    ----------
    capacitance_F : float or array
        Capacitance C_s, F, above 0.
    total_ohm : float or array
        Resistance of the whole circuit, R_t, ohm, above 0.
    heat_capacity_J_per_K, loss_W_per_K : float or array
        C in J/K and γ in W/K, above 0.

    Returns
    -------
    float or array
        Seconds from the moment of switching on. A bridge that is not lit by then is not lit at all.

    Raises
    ------
    ModelRangeError
        If an argument is not above 0.

    Notes
    -----
    Valid as `capacitor_rise`.

    References
    ----------
    The maximum of `capacitor_rise`.

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
    return plain(np.where(near, np.sqrt(tau * tau_e), np.log(tau_e / tau) * tau * tau_e / gap))


def _capacitor_constants(
    charged_V: FloatOrArray,
    capacitance_F: FloatOrArray,
    total_ohm: FloatOrArray,
    bridge_ohm: FloatOrArray,
    heat_capacity_J_per_K: FloatOrArray,
    loss_W_per_K: FloatOrArray,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    need_positive(
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
