"""Heating of conductors by a pulse, and the current that melts a wire.

There is no model of the steady current here: that depends on the insulation, the laying and the
air, and only the rated current of the cable spec is used for it.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from bridgewire.errors import ModelRangeError
from bridgewire.model.kit import Insulation, Metal
from bridgewire.physics.conductors import FloatOrArray, clad_iacs


class HeatLimits(NamedTuple):
    """Temperatures of an insulation, °C."""

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
    """K of the adiabatic formula, A √s / mm²: √(Qc (β + 20) / ρ20).

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
    """k of S = √(I² t) / k, A √s / mm².

    Parameters
    ----------
    start_C, end_C : float or array
        Conductor temperature before and after, °C; `end_C` not below `start_C`, both above -200.

    Raises
    ------
    ModelRangeError
        If the end is below the start.

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
    return float(value) if value.ndim == 0 else value


def adiabatic_end_C(
    current_A: FloatOrArray,
    time_s: FloatOrArray,
    area_mm2: FloatOrArray,
    metal: Metal,
    start_C: FloatOrArray,
    clad_copper_pct: float | None = None,
) -> FloatOrArray:
    """Conductor temperature after a constant current, no heat lost, °C.

    Parameters
    ----------
    current_A, time_s, area_mm2 : float or array
        Current in one conductor (A), its duration (s), its metal cross-section (mm², above 0).
    start_C : float or array
        Conductor temperature before, °C.

    Returns
    -------
    float or array
        °C. Above the melting point the number only says that the wire has melted; infinite where
        it leaves the range of numbers.

    Raises
    ------
    ModelRangeError
        For an area that is not above 0, or a negative time.

    References
    ----------
    IEC 60949. No heat is lost, so the real temperature is lower: by little for a pulse below
    5 s in a thick cable, by much for a thin wire over seconds.

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
    return float(value) if value.ndim == 0 else value


def adiabatic_max_current_A(
    time_s: FloatOrArray,
    area_mm2: FloatOrArray,
    metal: Metal,
    start_C: FloatOrArray,
    end_C: FloatOrArray,
    clad_copper_pct: float | None = None,
) -> FloatOrArray:
    """Largest constant current of a pulse that keeps a conductor at or below a temperature, A.

    I = k S / √t.

    Raises
    ------
    ModelRangeError
        For a time or an area that is not above 0, or an end below the start.

    References
    ----------
    IEC 60364-5-54, 543.1.2; up to 5 s.

    Examples
    --------
    >>> round(adiabatic_max_current_A(5.0, 0.2047, "copper", 70.0, 160.0), 2)
    10.51
    """
    if not bool(np.all(np.asarray(time_s) > 0.0) and np.all(np.asarray(area_mm2) > 0.0)):
        raise ModelRangeError("time and area must be above 0")
    k = k_factor(metal, start_C, end_C, clad_copper_pct)
    value = np.asarray(k * np.asarray(area_mm2, dtype=float) / np.sqrt(time_s))
    return float(value) if value.ndim == 0 else value


PREECE: MappingProxyType[str, float] = MappingProxyType(
    {
        "copper": 10244.0,
        "aluminium": 7585.0,
        "platinum": 5172.0,
        "german-silver": 5230.0,
        "platinoid": 4750.0,
        "iron": 3148.0,
        "tin": 1642.0,
        "tin-lead": 1318.0,
        "lead": 1379.0,
    }
)
"""Preece's constants, A / in^1.5."""


def preece_fusing_current_A(diameter_m: FloatOrArray, metal: str = "copper") -> FloatOrArray:
    """Steady current that melts a straight bare wire in still air: I = C d^1.5, d in inches, A.

    An old rule of thumb for long wires in air. Short wires between terminals carry more,
    insulated or bundled ones less; never size anything with it.

    Raises
    ------
    ModelRangeError
        For a metal without a constant.

    References
    ----------
    W. H. Preece, Proc. R. Soc. 1884-1888, constants as in handbooks.

    Examples
    --------
    >>> round(preece_fusing_current_A(0.0524 * 0.0254), 2)
    122.88
    """
    if metal not in PREECE:
        raise ModelRangeError(f"no fusing constant for {metal!r}: {', '.join(PREECE)}")
    return PREECE[metal] * (diameter_m / 0.0254) ** 1.5


def onderdonk_fusing_current_A(
    area_m2: FloatOrArray, time_s: FloatOrArray, ambient_C: FloatOrArray, melting_C: float = 1083.0
) -> FloatOrArray:
    """Current that melts a copper wire within a short time, A.

    I = A √(log10((Tm - Ta)/(234 + Ta) + 1) / (33 t)), A in circular mils. The sum 234 + Ta is
    often misprinted as 234 - Ta, which gives about 5 % too much.

    Parameters
    ----------
    area_m2 : float or array
        Cross-section, m².
    time_s : float or array
        Above 0, up to about 10 s (no heat lost).

    References
    ----------
    I. M. Onderdonk's short-time fusing equation, as in handbooks.

    Examples
    --------
    >>> round(onderdonk_fusing_current_A(2581 * 5.067075e-10, 5.0, 25.0), 2)
    168.86
    """
    if not bool(np.all(np.asarray(time_s) > 0.0)):
        raise ModelRangeError("time must be above 0")
    value = np.asarray(
        area_m2 / CIRCULAR_MIL_M2 * np.sqrt(_onderdonk(ambient_C, melting_C) / time_s)
    )
    return float(value) if value.ndim == 0 else value


def onderdonk_fusing_time_s(
    area_m2: FloatOrArray,
    current_A: FloatOrArray,
    ambient_C: FloatOrArray,
    melting_C: float = 1083.0,
) -> FloatOrArray:
    """Time in which a current melts a copper wire, s; see `onderdonk_fusing_current_A`.

    Examples
    --------
    >>> round(onderdonk_fusing_time_s(4110 * 5.067075e-10, 400.0, 25.0), 2)
    2.26
    """
    density = np.asarray(current_A, dtype=float) / (area_m2 / CIRCULAR_MIL_M2)
    value = np.asarray(_onderdonk(ambient_C, melting_C) / density**2)
    return float(value) if value.ndim == 0 else value


CIRCULAR_MIL_M2 = float(np.pi / 4.0 * 2.54e-5**2)
"""Area of a circle of one thousandth of an inch, m²."""


def _onderdonk(ambient_C: FloatOrArray, melting_C: float) -> FloatOrArray:
    ratio = (melting_C - np.asarray(ambient_C, dtype=float)) / (234.0 + ambient_C)
    return np.asarray(np.log10(ratio + 1.0) / 33.0)
