"""Resistance of metal conductors: gauge, area, metal and temperature.

Lengths in metres, areas in square metres, resistances in ohms, temperatures in °C.
All resistances are for one conductor, one way: feed and return both count.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from bridgewire.errors import ModelRangeError
from bridgewire.model.kit import Metal
from bridgewire.physics._arguments import FloatOrArray

REFERENCE_C = 20.0
"""Temperature of all reference resistances."""
LINEAR_C = (-60.0, 250.0)
"""Conductor temperatures between which the linear law is used."""
COPPER_OHM_M = 1.7241e-8
"""Annealed copper of 100 % IACS at 20 °C (IEC 60028)."""
ALUMINIUM_OHM_M = 2.8264e-8
"""Aluminium of 61 % IACS at 20 °C (IEC 60889)."""
CLAD_WORST_IACS = {10: 0.629, 15: 0.644}
"""Least conductivity of copper-clad aluminium over that of copper, by copper share in volume
percent (ASTM B566 classes 10A and 15A, published minima)."""
CLAD_TYPICAL_IACS = {10: 0.645, 15: 0.665}
"""What published wire tables of copper-clad aluminium imply; above the minima."""
ALPHA_PER_K: dict[Metal, float] = {
    "copper": 0.00393,
    "aluminium": 0.00403,
    "copper-clad-aluminium": 0.00401,
}
"""Temperature coefficient of resistance at 20 °C: copper IEC 60028, aluminium IEC 60287-1-1
Table 1. Copper-clad aluminium: computed, the mean of the two weighted by the conductance of a 15 %
copper share (a 10 % share gives 0.00402)."""

Corner = Literal["typical", "worst"]


def awg_diameter_m(awg: FloatOrArray) -> FloatOrArray:
    """Diameter of a solid round wire from its American gauge number, 0.127 mm × 92^((36 - n)/39).

    Parameters
    ----------
    awg : float or array
        Gauge number n, -3 (that is 4/0) to 56.

    Returns
    -------
    float or array
        Diameter, m.

    Raises
    ------
    ModelRangeError
        For gauges outside the range.

    References
    ----------
    ASTM B258: 36 gauge is 0.0050 in, 4/0 is 0.4600 in, 39 equal ratios between them.

    Examples
    --------
    >>> round(awg_diameter_m(24) * 1e3, 5)
    0.51056
    """
    number = np.asarray(awg, dtype=float)
    if not bool(np.all((number >= -3) & (number <= 56))):
        raise ModelRangeError(f"gauge {awg} is outside -3 (4/0) to 56")
    return 0.127e-3 * 92.0 ** ((36.0 - awg) / 39.0)


def awg_area_m2(awg: FloatOrArray) -> FloatOrArray:
    """Cross-section of a solid round wire from its American gauge number.

    Parameters
    ----------
    awg : float or array
        Gauge number, -3 (that is 4/0) to 56.

    Returns
    -------
    float or array
        Cross-section, m².

    Raises
    ------
    ModelRangeError
        For gauges outside the range.

    References
    ----------
    ASTM B258, see `awg_diameter_m`.

    Examples
    --------
    >>> round(awg_area_m2(24) * 1e6, 4)
    0.2047
    """
    return np.pi / 4.0 * awg_diameter_m(awg) ** 2


def clad_iacs(clad_copper_pct: float | None, corner: Corner = "typical") -> float:
    """Conductivity of copper-clad aluminium over that of annealed copper.

    Parameters
    ----------
    clad_copper_pct : float or None
        Copper share by volume, percent, at least 10 and below 100. A share between the two classes
        of the standard counts as the lower class; an unknown share as 10 %.
    corner : {"typical", "worst"}
        Tabulated typical conductivity, or the least that the standard allows.

    Returns
    -------
    float
        Ratio, below 1.

    Raises
    ------
    ModelRangeError
        Below 10 %: the standard covers no such wire, and nothing may be assumed of it.

    References
    ----------
    ASTM B566 (classes 10A, 15A). The minima (62.9 and 64.4 % IACS) and the typical values of wire
    tables (64.5 and 66.5 %) are easily mixed up; a worst case needs the minima.

    Examples
    --------
    >>> clad_iacs(15), clad_iacs(15, "worst"), clad_iacs(None, "worst")
    (0.665, 0.644, 0.629)
    """
    share = 10.0 if clad_copper_pct is None else clad_copper_pct
    if not 10.0 <= share < 100.0:
        raise ModelRangeError(f"copper-clad aluminium of {share:g} % copper: 10 % or more is known")
    table = CLAD_TYPICAL_IACS if corner == "typical" else CLAD_WORST_IACS
    return table[15 if share >= 15.0 else 10]


def resistivity_ohm_m(
    metal: Metal,
    temperature_C: FloatOrArray = REFERENCE_C,
    clad_copper_pct: float | None = None,
    corner: Corner = "typical",
) -> FloatOrArray:
    """Resistivity of a conductor metal at a temperature, ρ₂₀ (1 + α (t - 20 °C)).

    Parameters
    ----------
    metal : {"copper", "copper-clad-aluminium", "aluminium"}
        Metal of the conductor.
    temperature_C : float or array
        Conductor temperature, °C, -60 to 250.
    clad_copper_pct : float, optional
        Copper share of copper-clad aluminium, see `clad_iacs`.
    corner : {"typical", "worst"}
        Of copper-clad aluminium, see `clad_iacs`.

    Returns
    -------
    float or array
        Resistivity, ohm m.

    Raises
    ------
    ModelRangeError
        For a temperature or copper share out of range.

    References
    ----------
    IEC 60028 (copper), IEC 60889 (aluminium), ASTM B566 (copper-clad aluminium).

    Examples
    --------
    >>> round(resistivity_ohm_m("copper") * 1e8, 4)
    1.7241
    >>> round(resistivity_ohm_m("copper-clad-aluminium", 20.0, 10, "worst") * 1e8, 3)
    2.741
    """
    if metal == "copper":
        reference = COPPER_OHM_M
    elif metal == "aluminium":
        reference = ALUMINIUM_OHM_M
    else:
        reference = COPPER_OHM_M / clad_iacs(clad_copper_pct, corner)
    return reference * resistance_factor(temperature_C, metal)


def resistance_factor(temperature_C: FloatOrArray, metal: Metal) -> FloatOrArray:
    """Resistance at a temperature over the resistance at 20 °C, 1 + α (t - 20 °C).

    Parameters
    ----------
    temperature_C : float or array
        Conductor temperature t, °C, -60 to 250 (linear law).
    metal : {"copper", "copper-clad-aluminium", "aluminium"}
        Its α is in `ALPHA_PER_K`.

    Returns
    -------
    float or array
        Ratio, 1 at 20 °C.

    Raises
    ------
    ModelRangeError
        Outside the range.

    References
    ----------
    IEC 60028 (copper 0.00393 /K), IEC 60287-1-1 Table 1 (aluminium 0.00403 /K).

    Examples
    --------
    >>> round(resistance_factor(75.0, "copper"), 5)
    1.21615
    """
    value = np.asarray(temperature_C, dtype=float)
    if not bool(np.all((value >= LINEAR_C[0]) & (value <= LINEAR_C[1]))):
        raise ModelRangeError(f"conductor temperature {temperature_C} °C is outside -60 to 250")
    return 1.0 + ALPHA_PER_K[metal] * (temperature_C - REFERENCE_C)


def ohm_per_m_20C(
    metal: Metal,
    area_m2: FloatOrArray,
    clad_copper_pct: float | None = None,
    corner: Corner = "typical",
) -> FloatOrArray:
    """Resistance per metre of one solid conductor at 20 °C, ρ / A.

    Parameters
    ----------
    metal : {"copper", "copper-clad-aluminium", "aluminium"}
        Metal of the conductor.
    area_m2 : float or array
        Metal cross-section A, m², above 0.
    clad_copper_pct : float, optional
        Copper share of copper-clad aluminium, see `clad_iacs`.
    corner : {"typical", "worst"}
        Of copper-clad aluminium, see `clad_iacs`.

    Returns
    -------
    float or array
        Ohm per metre, one way.

    Raises
    ------
    ModelRangeError
        For an area that is not above 0, or a copper share out of range.

    Notes
    -----
    Stranding is not in it: strands are longer than the cable by the lay, 2 to 3 %.

    References
    ----------
    As `resistivity_ohm_m`.

    Examples
    --------
    >>> round(ohm_per_m_20C("copper", awg_area_m2(24)) * 1e3, 2)
    84.21
    """
    if not bool(np.all(np.asarray(area_m2) > 0.0)):
        raise ModelRangeError(f"conductor area {area_m2} m² is not above 0")
    return resistivity_ohm_m(metal, REFERENCE_C, clad_copper_pct, corner) / area_m2


def loop_ohm(
    ohm_per_m: FloatOrArray,
    length_m: FloatOrArray,
    feed_conductors: int = 1,
    return_conductors: int = 1,
) -> FloatOrArray:
    """Resistance of feed and return of a run, r L (1/n_feed + 1/n_return).

    Parameters
    ----------
    ohm_per_m : float or array
        Of one conductor, r, ohm/m.
    length_m : float or array
        One-way length L, m.
    feed_conductors, return_conductors : int
        How many conductors lie in parallel, at least 1.

    Returns
    -------
    float or array
        Ohm, both ways.

    Raises
    ------
    ModelRangeError
        Without a feed or return conductor.

    Examples
    --------
    >>> round(loop_ohm(0.08421, 20.0), 3), round(loop_ohm(0.07, 100.0, 2, 2), 3)
    (3.368, 7.0)
    """
    if feed_conductors < 1 or return_conductors < 1:
        raise ModelRangeError("a run needs at least one feed and one return conductor")
    return ohm_per_m * length_m * (1.0 / feed_conductors + 1.0 / return_conductors)
