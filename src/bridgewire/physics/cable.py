"""Resistance and cross-section of a cable spec, from what its kit profile states."""

from __future__ import annotations

from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec
from bridgewire.physics.conductor_tables import iec60228_max_ohm_per_m
from bridgewire.physics.conductors import (
    COPPER_OHM_M,
    awg_area_m2,
    ohm_per_m_20C,
    resistivity_ohm_m,
)

GAUGE_LEAST = 0.96
"""Least over nominal resistance of a drawn wire: 1 % over the nominal diameter and a conductivity
of 102 % IACS (from memory: ASTM B3 diameter tolerance and the best electrolytic copper)."""
GAUGE_MOST = 1.021
"""Largest over nominal resistance of a drawn wire: 1 % under the nominal diameter (from memory:
ASTM B3 diameter tolerance) at 100 % IACS, the least that the standard allows."""
LAY_TYPICAL = 1.02
"""Stranded over solid resistance. NFPA 70 (NEC) Chapter 9 Table 8 has 1.018 to 1.028 for seven
strands of 18 to 8 gauge."""
LAY_MOST = 1.03
METRIC_MOST = 1.14
"""Largest limit of IEC 60228 (classes 1, 2 and 5, 0.5 to 16 mm²) over nominal resistance is 1.13;
used for areas that the table does not have."""


def cable_ohm_per_m(spec: CableSpec) -> Band | None:
    """Resistance per metre of one conductor of a cable at 20 °C.

    The stated `ohm_per_m` if there is one. Else from the metal and the size:

    - American gauge: nominal area; from `GAUGE_LEAST` to `GAUGE_MOST` of the nominal resistance,
      stranded wire `LAY_TYPICAL` (at most `LAY_MOST`) more.
    - Square millimetres: makers use as little metal as the standard lets them, so the largest
      value is the limit of IEC 60228 (class 1 solid; class 5 stranded copper), the smallest is
      that of the nominal area, the typical one lies half way.
    - Copper-clad aluminium: the largest value at the least conductivity that ASTM B566 allows,
      the typical one at the tabulated conductivity. An unknown copper share counts as 10 % at
      worst and typically, as 15 % at best.

    Parameters
    ----------
    spec : CableSpec
        Of which metal, stranding, copper share, and resistance, area or gauge are used.

    Returns
    -------
    Band or None
        Ohm per metre; None if gauge, area and resistance are all missing, if the size is not a
        conductor's, or if the copper share is below the 10 % that the standard covers.

    References
    ----------
    ASTM B258 and B3 (gauge), IEC 60228 (area), ASTM B566 (copper-clad aluminium); see the constants
    of this module.

    Examples
    --------
    >>> band = cable_ohm_per_m(CableSpec("a", "copper", "solid", 8, gauge_awg=24))
    >>> [round(v * 1e3, 1) for v in (band.min, band.typical, band.max)]
    [80.8, 84.2, 86.0]
    >>> cable_ohm_per_m(CableSpec("a", "copper", "solid", 8)) is None
    True
    """
    if spec.ohm_per_m is not None:
        return spec.ohm_per_m
    if spec.area_mm2 is None and spec.gauge_awg is None:
        return None
    try:
        typical, best, worst = _solid_ohm_m(spec)
        if spec.area_mm2 is None and spec.gauge_awg is not None:
            return _of_gauge(spec, float(awg_area_m2(spec.gauge_awg)), (typical, best, worst))
    except ModelRangeError:
        return None
    if spec.area_mm2 is None or spec.area_mm2 <= 0.0:
        return None
    area_m2 = spec.area_mm2 * 1e-6
    least = float(best / area_m2)
    limit = iec60228_max_ohm_per_m(
        spec.area_mm2, 1 if spec.stranding == "solid" else 5, metal=spec.metal
    )
    most = float(worst / area_m2 * METRIC_MOST) if limit is None else limit
    nominal = float(typical / area_m2)
    least = min(least, most)
    return Band(least, min(max((nominal + most) / 2.0, least), most), most)


def _of_gauge(spec: CableSpec, area_m2: float, ohm_m: tuple[float, float, float]) -> Band:
    typical, best, worst = ohm_m
    stranded = spec.stranding == "stranded"
    lay, lay_most = (LAY_TYPICAL, LAY_MOST) if stranded else (1.0, 1.0)
    return Band(
        best * GAUGE_LEAST / area_m2,
        typical * lay / area_m2,
        worst * GAUGE_MOST * lay_most / area_m2,
    )


def cable_area_mm2(spec: CableSpec) -> float | None:
    """Cross-section of one conductor of a cable.

    The stated area, else that of the gauge, else the copper-equivalent area of the largest stated
    resistance (no more metal than that carries the current).

    Parameters
    ----------
    spec : CableSpec
        Of which area, gauge, or resistance with metal and copper share are used.

    Returns
    -------
    float or None
        mm²; None where nothing tells, or the gauge or copper share is no conductor's.

    Examples
    --------
    >>> round(cable_area_mm2(CableSpec("a", "copper", "solid", 8, gauge_awg=24)), 4)
    0.2047
    """
    if spec.area_mm2 is not None:
        return spec.area_mm2
    if spec.gauge_awg is not None:
        try:
            return float(awg_area_m2(spec.gauge_awg)) * 1e6
        except ModelRangeError:
            return None
    if spec.ohm_per_m is None or spec.ohm_per_m.max <= 0.0:
        return None
    try:
        resistivity = float(resistivity_ohm_m(spec.metal, 20.0, spec.clad_copper_pct))
    except ModelRangeError:
        return None
    return resistivity / spec.ohm_per_m.max * 1e6


def nominal_copper_ohm_per_m(spec: CableSpec) -> float | None:
    """Resistance per metre that a solid copper conductor of the same size would have at 20 °C.

    Shows what copper-clad aluminium costs.

    Parameters
    ----------
    spec : CableSpec
        The cable; its metal does not matter where an area or gauge is stated.

    Returns
    -------
    float or None
        Ohm per metre; None where `cable_area_mm2` is.

    Raises
    ------
    ModelRangeError
        If the area is not above 0.

    Examples
    --------
    >>> cca = CableSpec("a", "copper-clad-aluminium", "solid", 8, gauge_awg=24)
    >>> round(cable_ohm_per_m(cca).typical / nominal_copper_ohm_per_m(cca), 2)
    1.55
    """
    area_mm2 = cable_area_mm2(spec)
    return None if area_mm2 is None else float(ohm_per_m_20C("copper", area_mm2 * 1e-6))


def _solid_ohm_m(spec: CableSpec) -> tuple[float, float, float]:
    """Typical, least and largest resistivity of the metal at 20 °C, ohm m."""
    if spec.metal != "copper-clad-aluminium":
        value = float(resistivity_ohm_m(spec.metal))
        return value, value, value
    share = spec.clad_copper_pct
    typical = float(resistivity_ohm_m(spec.metal, 20.0, share))
    worst = float(resistivity_ohm_m(spec.metal, 20.0, share, "worst"))
    best_share = 15.0 if share is None else share
    best = float(resistivity_ohm_m(spec.metal, 20.0, best_share))
    return typical, max(best, COPPER_OHM_M), worst
