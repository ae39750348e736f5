"""Ohms per metre of a cable from one reading, and what the reading says of the label."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from bridgewire.authoring.meter import overlap, worst_case
from bridgewire.authoring.supply import BenchError
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec, Metal, Stranding
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.conductors import resistance_factor

METRIC_SIZES = (0.05, 0.08, 0.11, 0.14, 0.22, 0.25, 0.34, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0)
"""Sizes of VDE 0295 and IEC 60228, mm²."""
NEXT_GAUGES = 6
METALS: tuple[Metal, ...] = ("copper", "copper-clad-aluminium")
_WORD = {
    "copper": "copper",
    "copper-clad-aluminium": "copper-clad aluminium",
    "aluminium": "aluminium",
}


def loop_ohm_per_m(
    loop: Band, length_m: Band, metal: Metal, at_C: Band, leads: Band | None = None
) -> Band:
    """Resistance per metre of one conductor from a loop: two alike, joined at the far end.

    Parameters
    ----------
    loop : Band
        Meter reading, ohm.
    length_m : Band
        Length of the cable, one way, m.
    metal : str
        For the temperature coefficient; copper and copper-clad aluminium differ by 2 % of it.
    at_C : Band
        Temperature of the cable, °C.
    leads : Band, optional
        What the meter reads with its own leads held together, ohm; leave out if it was zeroed.

    Returns
    -------
    Band
        Ohm per metre at 20 °C, one conductor, one way; interval.

    Raises
    ------
    BenchError
        If nothing is left after taking the leads off, or the length is 0.

    References
    ----------
    Temperature: IEC 60028 and IEC 60287-1-1, see `resistance_factor`.

    Examples
    --------
    >>> per_m = loop_ohm_per_m(Band.exact(8.421), Band.exact(50), "copper", Band.exact(20))
    >>> round(per_m.typical, 5)
    0.08421
    """
    off = Band.exact(0.0) if leads is None else leads
    if length_m.min <= 0.0:
        raise BenchError("the length must be above 0")

    def per_m(r: float, zero: float, length: float, temperature: float) -> float:
        return (r - zero) / (2.0 * length) / float(resistance_factor(temperature, metal))

    found = worst_case(per_m, loop, off, length_m, at_C)
    if found.min <= 0.0:
        raise BenchError(
            "the reading is hardly more than that of the meter's leads: take a longer cable"
        )
    return found


@frozen
class Fit:
    """A conductor that a reading could be."""

    metal: Metal
    size: str
    """``24 AWG`` or ``0.5 mm²``."""
    ohm_per_m: Band

    def __str__(self) -> str:
        return f"{self.size} {_WORD[self.metal]}"


@frozen
class LabelCheck:
    """What a reading says of the printed size."""

    as_printed: bool
    """Whether the reading fits size and metal as stated."""
    fits: tuple[Fit, ...]
    """Every conductor that fits, the printed size first."""
    ratio: float
    """Reading over what the printed size of the stated metal has, typical."""
    notes: tuple[str, ...] = ()


def check_label(
    per_m: Band,
    metal: Metal,
    stranding: Stranding,
    gauge_awg: float | None = None,
    area_mm2: float | None = None,
) -> LabelCheck:
    """Compare a measured resistance with what is printed on the cable.

    Parameters
    ----------
    per_m : Band
        Ohm per metre at 20 °C, one conductor, one way.
    metal, stranding : str
        As the seller says.
    gauge_awg, area_mm2 : float
        One of them, as printed.

    Returns
    -------
    LabelCheck

    Raises
    ------
    BenchError
        If neither size is given, or no resistance is known for it.

    Notes
    -----
    A resistance does not tell copper-clad aluminium from copper two gauges thinner: both have
    about 1.6 times the resistance. All that fit are listed.

    References
    ----------
    Bands of each candidate: `cable_ohm_per_m` (ASTM B258, IEC 60228, ASTM B566).

    Examples
    --------
    >>> per_m = Band.with_percent(0.131, 2)
    >>> check = check_label(per_m, "copper", "solid", gauge_awg=24)
    >>> check.as_printed, [str(f) for f in check.fits]
    (False, ['24 AWG copper-clad aluminium', '26 AWG copper'])
    """
    if (gauge_awg is None) == (area_mm2 is None):
        raise BenchError("one printed size is needed, a gauge or an area")
    printed = _candidate(metal, stranding, gauge_awg, area_mm2)
    if printed is None:
        raise BenchError("no resistance is known for this size")
    candidates = [printed, *_others(metal, stranding, gauge_awg, area_mm2)]
    fits = tuple(c for c in candidates if overlap(c.ohm_per_m, per_m))
    ratio = per_m.typical / printed.ohm_per_m.typical
    as_printed = printed in fits
    notes = () if as_printed else tuple(_notes(per_m, printed, fits, ratio))
    return LabelCheck(as_printed, fits, ratio, notes)


def _notes(per_m: Band, printed: Fit, fits: tuple[Fit, ...], ratio: float) -> Iterator[str]:
    if per_m.min > printed.ohm_per_m.max:
        yield f"{ratio:.3g} times the resistance of {printed}"
    else:
        yield (
            f"less resistance ({ratio:.3g} times) than {printed} can have: check length, meter "
            "leads and whether conductors were joined in parallel"
        )
    if overlap(per_m.scaled(0.5), printed.ohm_per_m):
        yield (
            "half of it would fit: was the length there and back entered as one way, or the "
            "reading already doubled?"
        )
    if overlap(per_m.scaled(2.0), printed.ohm_per_m):
        yield (
            "twice of it would fit: was only one conductor measured, or the length there and back "
            "entered?"
        )
    clad = [f for f in fits if f.metal == "copper-clad-aluminium" != printed.metal]
    thinner = [f for f in fits if f.metal == printed.metal and f.size != printed.size]
    if clad and clad[0].size == printed.size:
        yield (
            "looks like copper-clad aluminium: scrape a cut end, silver inside gives it away; it "
            "is also light and breaks when bent a few times"
        )
    if thinner:
        sizes = " or ".join(f.size for f in thinner)
        yield f"looks like a thinner conductor than printed: {sizes}"
    if not fits:
        yield "no usual conductor near the printed size fits: read again, over a greater length"


def _others(
    metal: Metal, stranding: Stranding, gauge_awg: float | None, area_mm2: float | None
) -> Iterator[Fit]:
    sizes: list[tuple[float | None, float | None]] = [(gauge_awg, area_mm2)]
    if gauge_awg is not None:
        sizes += [(g, None) for g in (gauge_awg + n for n in range(1, NEXT_GAUGES + 1)) if g <= 40]
    else:
        sizes += [(None, a) for a in reversed(METRIC_SIZES) if area_mm2 and a < area_mm2]
    for awg, area in sizes:
        for other in METALS:
            if (awg, area, other) != (gauge_awg, area_mm2, metal):
                found = _candidate(other, stranding, awg, area)
                if found is not None:
                    yield found


def _candidate(
    metal: Metal, stranding: Stranding, gauge_awg: float | None, area_mm2: float | None
) -> Fit | None:
    spec = CableSpec("?", metal, stranding, 1, gauge_awg=gauge_awg, area_mm2=area_mm2)
    band = cable_ohm_per_m(spec)
    if band is None:
        return None
    size = f"{area_mm2:g} mm²" if gauge_awg is None else f"{gauge_awg:g} AWG"
    return Fit(metal, size, band)
