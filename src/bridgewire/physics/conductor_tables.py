"""Published conductor tables: IEC 60228 limits and the conventions that come with tables."""

from __future__ import annotations

from types import MappingProxyType
from typing import Literal

import numpy as np

from bridgewire.errors import ModelRangeError
from bridgewire.model.kit import Metal
from bridgewire.physics._arguments import FloatOrArray
from bridgewire.physics.conductors import LINEAR_C

ConductorClass = Literal[1, 2, 5, 6]

# IEC 60228 Tables 1 to 4, ohm/km at 20 °C: area in mm² -> (plain, metal-coated or tinned).
_SOLID_AND_STRANDED = MappingProxyType(
    {
        0.5: (36.0, 36.7),
        0.75: (24.5, 24.8),
        1.0: (18.1, 18.2),
        1.5: (12.1, 12.2),
        2.5: (7.41, 7.56),
        4.0: (4.61, 4.70),
        6.0: (3.08, 3.11),
        10.0: (1.83, 1.84),
        16.0: (1.15, 1.16),
    }
)
_FLEXIBLE = MappingProxyType(
    {
        # Sizes below 0.5 mm²: VDE 0295.
        0.05: (380.0, 392.0),
        0.08: (237.0, 244.0),
        0.11: (170.0, 175.0),
        0.12: (150.0, 155.0),
        0.14: (134.0, 138.0),
        0.22: (96.0, 99.0),
        0.25: (76.0, 79.0),
        0.34: (53.0, 56.0),
        0.5: (39.0, 40.1),
        0.75: (26.0, 26.7),
        1.0: (19.5, 20.0),
        1.5: (13.3, 13.7),
        2.5: (7.98, 8.21),
        4.0: (4.95, 5.09),
        6.0: (3.30, 3.39),
        10.0: (1.91, 1.95),
        16.0: (1.21, 1.24),
    }
)
_ALUMINIUM = MappingProxyType({10.0: 3.08, 16.0: 1.91, 25.0: 1.20})


def iec60228_max_ohm_per_m(
    area_mm2: float,
    conductor_class: ConductorClass,
    *,
    coated: bool = False,
    metal: Metal = "copper",
) -> float | None:
    """Largest resistance per metre that IEC 60228 allows a conductor at 20 °C.

    Parameters
    ----------
    area_mm2 : float
        Nominal cross-section, mm².
    conductor_class : {1, 2, 5, 6}
        1 solid, 2 stranded, 5 flexible, 6 very flexible.
    coated : bool
        Metal-coated (tinned) copper wires.
    metal : {"copper", "aluminium"}
        Aluminium has limits in the classes 1 and 2 alone.

    Returns
    -------
    float or None
        Ohm per metre of one conductor; None for a size that the table does not have.

    References
    ----------
    IEC 60228 Tables 1 to 4; below 0.5 mm² VDE 0295.

    Examples
    --------
    >>> iec60228_max_ohm_per_m(1.5, 5), iec60228_max_ohm_per_m(1.5, 1)
    (0.0133, 0.0121)
    >>> iec60228_max_ohm_per_m(1.23, 5) is None
    True
    """
    if metal == "aluminium":
        limit = _ALUMINIUM.get(area_mm2) if conductor_class in (1, 2) else None
        return None if limit is None else round(limit / 1000.0, 9)
    if metal != "copper":
        return None
    table = _SOLID_AND_STRANDED if conductor_class in (1, 2) else _FLEXIBLE
    row = table.get(area_mm2)
    return None if row is None else round(row[coated] / 1000.0, 9)


def iec60228_kt(temperature_C: FloatOrArray) -> FloatOrArray:
    """Factor of IEC 60228 that brings a resistance measured at a temperature to 20 °C.

    Parameters
    ----------
    temperature_C : float or array
        Conductor temperature at the measurement, °C, 5 to 100: the range of the table.

    Returns
    -------
    float or array
        Resistance at 20 °C over the measured one.

    Raises
    ------
    ModelRangeError
        Outside the range.

    Notes
    -----
    The table of the standard is exactly 250 / (230 + t), which is a coefficient of 0.0040 /K and
    not copper's 0.00393 /K. Use it only to compare with measurements corrected that way; the
    model uses `bridgewire.physics.conductors.resistance_factor`.

    References
    ----------
    IEC 60228, annex on temperature correction.

    Examples
    --------
    >>> round(iec60228_kt(100.0), 3)
    0.758
    """
    _need_within(temperature_C, 5.0, 100.0)
    return 250.0 / (230.0 + temperature_C)


def copper_kt(temperature_C: FloatOrArray) -> FloatOrArray:
    """Factor that brings a measured copper resistance to 20 °C, 254.5 / (234.5 + t).

    Parameters
    ----------
    temperature_C : float or array
        Conductor temperature at the measurement, °C, -60 to 250.

    Returns
    -------
    float or array
        Resistance at 20 °C over the measured one.

    Raises
    ------
    ModelRangeError
        Outside the range.

    Notes
    -----
    The inverse of the linear law with copper's 0.00393 /K.

    References
    ----------
    IEC 60028.

    Examples
    --------
    >>> round(copper_kt(100.0), 4)
    0.7608
    """
    _need_within(temperature_C, LINEAR_C[0], LINEAR_C[1])
    return 254.5 / (234.5 + temperature_C)


def from_75C(
    resistance: FloatOrArray, temperature_C: FloatOrArray, metal: Metal = "copper"
) -> FloatOrArray:
    """Bring a resistance tabulated at 75 °C to another temperature, R2 = R1 (1 + a (t - 75)).

    Parameters
    ----------
    resistance : float or array
        At 75 °C, in any unit.
    temperature_C : float or array
        Wanted conductor temperature, °C, -60 to 250.
    metal : {"copper", "aluminium"}
        Its a is 0.00323 /K for copper, 0.00330 /K for aluminium.

    Returns
    -------
    float or array
        Resistance at `temperature_C`, in the same unit.

    Raises
    ------
    ModelRangeError
        For copper-clad aluminium, which the table does not have, and outside the range.

    References
    ----------
    NFPA 70 (NEC) Chapter 9 Table 8, footnote. The table is for 75 °C; gauge tables are for 20 °C.

    Examples
    --------
    >>> round(from_75C(7.77, 20.0), 2)
    6.39
    """
    if metal == "copper-clad-aluminium":
        raise ModelRangeError("the 75 °C table has no copper-clad aluminium")
    _need_within(temperature_C, LINEAR_C[0], LINEAR_C[1])
    alpha = 0.00323 if metal == "copper" else 0.00330
    return resistance * (1.0 + alpha * (temperature_C - 75.0))


def _need_within(temperature_C: FloatOrArray, lowest_C: float, highest_C: float) -> None:
    value = np.asarray(temperature_C, dtype=float)
    if not bool(np.all((value >= lowest_C) & (value <= highest_C))):
        raise ModelRangeError(
            f"conductor temperature {temperature_C} °C is outside {lowest_C:g} to {highest_C:g}"
        )
