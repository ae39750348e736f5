"""Heating of conductors by a pulse.

There is no model of the steady current here: that depends on the insulation, the laying and the
air, and only the rated current of the cable spec is used for it.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from bridgewire.errors import ModelRangeError
from bridgewire.model.kit import Insulation, Metal
from bridgewire.physics._arguments import FloatOrArray, plain
from bridgewire.physics.conductors import clad_iacs


class HeatLimits(NamedTuple):
    """Temperatures that a conductor's insulation bears.

    Parameters
    ----------
    operating_C : float
        Highest conductor temperature in service, °C.
    short_time_C : float
        Highest at the end of a pulse of up to 5 s, °C.

    Examples
    --------
    >>> INSULATION_LIMITS["pvc-70"].short_time_C
    160.0
    """

    operating_C: float
    short_time_C: float


INSULATION_LIMITS: MappingProxyType[Insulation, HeatLimits] = MappingProxyType(
    {
        "pvc-70": HeatLimits(70.0, 160.0),
        "pvc-90": HeatLimits(90.0, 160.0),
        "xlpe": HeatLimits(90.0, 250.0),
        "rubber-60": HeatLimits(60.0, 200.0),
        "rubber-85": HeatLimits(85.0, 220.0),
        "silicone": HeatLimits(180.0, 350.0),
    }
)
"""Largest conductor temperature in service and at the end of a short pulse, up to 300 mm²
(IEC 60364-5-54 and BS 7671, k tables)."""

_COPPER = (234.5, 3.45e-3, 17.241e-6)
_ALUMINIUM = (228.0, 2.5e-3, 28.264e-6)
_CLAD_BETA = 229.4


def _constants(metal: Metal, clad_copper_pct: float | None) -> tuple[float, float, float]:
    """beta in °C, heat per volume in J/(K mm³), resistivity at 20 °C in ohm mm."""
    if metal == "copper":
        return _COPPER
    if metal == "aluminium":
        return _ALUMINIUM
    share = 10.0 if clad_copper_pct is None else clad_copper_pct
    heat = (share * _COPPER[1] + (100.0 - share) * _ALUMINIUM[1]) / 100.0
    return _CLAD_BETA, heat, _COPPER[2] / clad_iacs(share, "worst")


def material_factor(metal: Metal, clad_copper_pct: float | None = None) -> float:
    """Factor K of the adiabatic formula of a conductor metal, √(Qc (β + 20) / ρ20).

    Parameters
    ----------
    metal : {"copper", "copper-clad-aluminium", "aluminium"}
        Metal of the conductor.
    clad_copper_pct : float, optional
        Copper share of copper-clad aluminium by volume, percent, at least 10; 10 where unknown.

    Returns
    -------
    float
        A s^½ / mm².

    Raises
    ------
    ModelRangeError
        For copper-clad aluminium of less than 10 % copper.

    Notes
    -----
    For copper-clad aluminium computed from the parts (heat by volume share, least conductivity
    of ASTM B566); no standard gives a value.

    References
    ----------
    IEC 60949: copper 226, aluminium 148.

    Examples
    --------
    >>> round(material_factor("copper"), 2), round(material_factor("aluminium"), 2)
    (225.67, 148.11)
    """
    beta, heat, resistivity = _constants(metal, clad_copper_pct)
    return float(np.sqrt(heat * (beta + 20.0) / resistivity))


def k_factor(
    metal: Metal,
    start_C: FloatOrArray,
    end_C: FloatOrArray,
    clad_copper_pct: float | None = None,
) -> FloatOrArray:
    """Factor k of S = √(I² t) / k between two conductor temperatures.

    k = K √ln((β + θ₂) / (β + θ₁)), K and β those of the metal (`material_factor`).

    Parameters
    ----------
    metal : {"copper", "copper-clad-aluminium", "aluminium"}
        Metal of the conductor.
    start_C, end_C : float or array
        Conductor temperature before and after, °C; `end_C` not below `start_C`, both above -200.
    clad_copper_pct : float, optional
        As in `material_factor`.

    Returns
    -------
    float or array
        A s^½ / mm².

    Raises
    ------
    ModelRangeError
        If the end is below the start, a temperature is out of range, or the copper share is.

    Notes
    -----
    No heat is lost, so it holds for pulses of up to 5 s and is on the safe side beyond.

    References
    ----------
    IEC 60364-5-54 Annex A; IEC 60949.

    Examples
    --------
    >>> round(k_factor("copper", 70.0, 160.0), 2)
    114.84
    """
    start, end = np.asarray(start_C, dtype=float), np.asarray(end_C, dtype=float)
    if not bool(np.all((end >= start) & (start > -200.0))):
        raise ModelRangeError(f"the conductor cannot go from {start_C} to {end_C} °C by heating")
    beta = _constants(metal, clad_copper_pct)[0]
    root = np.sqrt(np.log((beta + end) / (beta + start)))
    value = np.asarray(material_factor(metal, clad_copper_pct) * root)
    return plain(value)


def adiabatic_end_C(
    current_A: FloatOrArray,
    time_s: FloatOrArray,
    area_mm2: FloatOrArray,
    metal: Metal,
    start_C: FloatOrArray,
    clad_copper_pct: float | None = None,
) -> FloatOrArray:
    """Conductor temperature after a constant current, no heat lost.

    θ₂ = (θ₁ + β) exp(I² t / (K S)²) - β, K and β those of the metal (`material_factor`).

    Parameters
    ----------
    current_A, time_s, area_mm2 : float or array
        Current in one conductor (A), its duration (s), its metal cross-section (mm², above 0).
    metal : {"copper", "copper-clad-aluminium", "aluminium"}
        Metal of the conductor.
    start_C : float or array
        Conductor temperature before, °C.
    clad_copper_pct : float, optional
        As in `material_factor`.

    Returns
    -------
    float or array
        °C. Above the melting point the number only says that the wire has melted; infinite where
        it leaves the range of numbers.

    Raises
    ------
    ModelRangeError
        For an area that is not above 0, a negative time, or a copper share below 10 %.

    Notes
    -----
    No heat is lost, so the real temperature is lower: by little for a pulse below 5 s in a thick
    cable, by much for a thin wire over seconds.

    References
    ----------
    IEC 60949.

    Examples
    --------
    >>> round(adiabatic_end_C(10.0, 5.0, 0.2047, "copper", 20.0), 1)
    87.2
    """
    if not bool(np.all(np.asarray(area_mm2) > 0.0)):
        raise ModelRangeError(f"conductor area {area_mm2} mm² is not above 0")
    if not bool(np.all(np.asarray(time_s) >= 0.0)):
        raise ModelRangeError(f"time {time_s} s is below 0")
    beta = _constants(metal, clad_copper_pct)[0]
    density = np.asarray(current_A, dtype=float) / area_mm2
    exponent = density**2 * time_s / material_factor(metal, clad_copper_pct) ** 2
    with np.errstate(over="ignore"):
        value = np.asarray((start_C + beta) * np.exp(exponent) - beta)
    return plain(value)


def adiabatic_max_current_A(
    time_s: FloatOrArray,
    area_mm2: FloatOrArray,
    metal: Metal,
    start_C: FloatOrArray,
    end_C: FloatOrArray,
    clad_copper_pct: float | None = None,
) -> FloatOrArray:
    """Largest constant current of a pulse that keeps a conductor below a temperature, k S / √t.

    Parameters
    ----------
    time_s, area_mm2 : float or array
        Length of the pulse (s) and metal cross-section of the conductor (mm²), above 0.
    metal : {"copper", "copper-clad-aluminium", "aluminium"}
        Metal of the conductor.
    start_C, end_C : float or array
        Conductor temperature before, and the one not to be passed, °C; see `k_factor`.
    clad_copper_pct : float, optional
        As in `material_factor`.

    Returns
    -------
    float or array
        Current in one conductor, A.

    Raises
    ------
    ModelRangeError
        For a time or an area that is not above 0, or what `k_factor` refuses.

    Notes
    -----
    Holds for pulses of up to 5 s; on the safe side for longer ones.

    References
    ----------
    IEC 60364-5-54, 543.1.2.

    Examples
    --------
    >>> round(adiabatic_max_current_A(5.0, 0.2047, "copper", 70.0, 160.0), 2)
    10.51
    """
    if not bool(np.all(np.asarray(time_s) > 0.0) and np.all(np.asarray(area_mm2) > 0.0)):
        raise ModelRangeError("time and area must be above 0")
    k = k_factor(metal, start_C, end_C, clad_copper_pct)
    value = np.asarray(k * np.asarray(area_mm2, dtype=float) / np.sqrt(time_s))
    return plain(value)
