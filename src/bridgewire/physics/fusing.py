"""Old rules for the current that melts a wire; never size anything with them."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from bridgewire.errors import ModelRangeError
from bridgewire.physics._arguments import FloatOrArray, plain

CIRCULAR_MIL_M2 = float(np.pi / 4.0 * 2.54e-5**2)
"""Area of a circle of one thousandth of an inch, m²."""
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
    """Steady current that melts a straight bare wire in still air, I = C d^1.5, d in inches.

    Parameters
    ----------
    diameter_m : float or array
        Diameter of the wire, m, above 0.
    metal : str
        A key of `PREECE`.

    Returns
    -------
    float or array
        Current, A.

    Raises
    ------
    ModelRangeError
        For a metal without a constant, or a diameter that is not above 0.

    Notes
    -----
    An old rule of thumb for long wires in air. Short wires between terminals carry more,
    insulated or bundled ones less; never size anything with it.

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
    if not bool(np.all(np.asarray(diameter_m) > 0.0)):
        raise ModelRangeError(f"wire diameter {diameter_m} m is not above 0")
    return PREECE[metal] * (diameter_m / 0.0254) ** 1.5


def onderdonk_fusing_current_A(
    area_m2: FloatOrArray, time_s: FloatOrArray, ambient_C: FloatOrArray, melting_C: float = 1083.0
) -> FloatOrArray:
    """Current that melts a copper wire within a short time.

    I = A √(log10((Tm - Ta)/(234 + Ta) + 1) / (33 t)), A in circular mils.

    Parameters
    ----------
    area_m2 : float or array
        Cross-section, m², above 0.
    time_s : float or array
        Above 0, up to about 10 s (no heat lost).
    ambient_C : float or array
        Temperature of the wire before, °C, above -234 and below `melting_C`.
    melting_C : float
        Melting point, °C.

    Returns
    -------
    float or array
        Current, A.

    Raises
    ------
    ModelRangeError
        For an area or time that is not above 0, or an ambient temperature out of range.

    Notes
    -----
    The sum 234 + Ta is often misprinted as 234 - Ta, which gives about 5 % too much. Never size
    anything with it.

    References
    ----------
    I. M. Onderdonk's short-time fusing equation, as in handbooks.

    Examples
    --------
    >>> round(onderdonk_fusing_current_A(2581 * 5.067075e-10, 5.0, 25.0), 2)
    168.86
    """
    if not bool(np.all(np.asarray(time_s) > 0.0) and np.all(np.asarray(area_m2) > 0.0)):
        raise ModelRangeError("time and area must be above 0")
    value = np.asarray(
        area_m2 / CIRCULAR_MIL_M2 * np.sqrt(_onderdonk(ambient_C, melting_C) / time_s)
    )
    return plain(value)


def onderdonk_fusing_time_s(
    area_m2: FloatOrArray,
    current_A: FloatOrArray,
    ambient_C: FloatOrArray,
    melting_C: float = 1083.0,
) -> FloatOrArray:
    """Time in which a current melts a copper wire: the inverse of `onderdonk_fusing_current_A`.

    Parameters
    ----------
    area_m2 : float or array
        Cross-section, m², above 0.
    current_A : float or array
        Current, A, above 0.
    ambient_C : float or array
        Temperature of the wire before, °C, above -234 and below `melting_C`.
    melting_C : float
        Melting point, °C.

    Returns
    -------
    float or array
        Seconds. More than about 10 s means nothing, for the heat that is lost is left out.

    Raises
    ------
    ModelRangeError
        For an area or current that is not above 0, or an ambient temperature out of range.

    References
    ----------
    I. M. Onderdonk's short-time fusing equation, as in handbooks.

    Examples
    --------
    >>> round(onderdonk_fusing_time_s(4110 * 5.067075e-10, 400.0, 25.0), 2)
    2.26
    """
    if not bool(np.all(np.asarray(current_A) > 0.0) and np.all(np.asarray(area_m2) > 0.0)):
        raise ModelRangeError("current and area must be above 0")
    density = np.asarray(current_A, dtype=float) / (area_m2 / CIRCULAR_MIL_M2)
    value = np.asarray(_onderdonk(ambient_C, melting_C) / density**2)
    return plain(value)


def _onderdonk(ambient_C: FloatOrArray, melting_C: float) -> FloatOrArray:
    """log10((Tm - Ta)/(234 + Ta) + 1) / 33."""
    ambient = np.asarray(ambient_C, dtype=float)
    if not bool(np.all((ambient > -234.0) & (ambient < melting_C))):
        raise ModelRangeError(f"ambient {ambient_C} °C is not between -234 °C and {melting_C:g} °C")
    ratio = (melting_C - ambient) / (234.0 + ambient)
    return np.asarray(np.log10(ratio + 1.0) / 33.0)
