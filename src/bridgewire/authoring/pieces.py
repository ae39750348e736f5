"""Small resistances: igniters with their leads, and contacts."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from bridgewire.authoring.meter import hull, not_below_zero, worst_case
from bridgewire.authoring.supply import BenchError
from bridgewire.model.band import Band


@frozen
class IgniterOhms:
    """Resistances of a kind of igniter."""

    bridge_ohm: Band
    lead_ohm: Band
    notes: tuple[str, ...] = ()


def less_leads(reading: Band, leads: Band | None) -> Band:
    """Take what the meter's own leads have off a reading, ohm; interval.

    Raises
    ------
    BenchError
        If nothing is left.

    Examples
    --------
    >>> less_leads(Band.exact(1.9), Band.exact(0.2)).typical
    1.7
    """
    if leads is None:
        return reading
    found = worst_case(lambda r, zero: r - zero, reading, leads)
    if found.typical <= 0.0:
        raise BenchError("the reading is no more than that of the meter's own leads")
    return not_below_zero(found)


def igniter_ohms(readings: Sequence[Band], lead_ohm: Band) -> IgniterOhms:
    """Bridge resistance of several igniters of a kind, cold.

    Parameters
    ----------
    readings : sequence of Band
        Whole igniters with their leads, the meter's own leads taken off, ohm.
    lead_ohm : Band
        Both leads of one igniter, ohm.

    Returns
    -------
    IgniterOhms
        The bridge from the least to the largest piece, uncertainty included (interval); typical
        is the mean.

    Raises
    ------
    BenchError
        Without readings, or where the leads have more than the whole igniter.

    Examples
    --------
    >>> found = igniter_ohms([Band.with_tolerance(r, 0.02) for r in (1.88, 1.92)], Band.exact(0.2))
    >>> [round(v, 2) for v in (found.bridge_ohm.min, found.bridge_ohm.max)]
    [1.66, 1.74]
    """
    if not readings:
        raise BenchError("no igniter was measured")
    bridges = [worst_case(lambda r, lead: r - lead, r, lead_ohm) for r in readings]
    if min(b.min for b in bridges) <= 0.0:
        raise BenchError("the leads have as much resistance as the whole igniter: read both again")
    notes: tuple[str, ...] = ()
    if len(bridges) < 5:
        pieces = f"{len(bridges)} piece{'s' if len(bridges) != 1 else ''}"
        notes = (f"only {pieces} measured; others of the batch may lie outside the band",)
    return IgniterOhms(hull(bridges), lead_ohm, notes)


def contact_ohm(readings: Sequence[Band], pairs: int, wire_ohm: Band | None = None) -> Band:
    """Resistance of one mated pair, from `pairs` of them in series.

    Parameters
    ----------
    readings : sequence of Band
        Of the whole chain, ohm, the meter's own leads taken off; one for each time it was mated.
    pairs : int
        How many mated pairs the current passes, 1 to 1000.
    wire_ohm : Band, optional
        Of the wires between them, ohm.

    Returns
    -------
    Band
        Ohm; interval from the least to the largest reading. It is the mean of the chain: a single
        pair may be worse, which only measuring pair by pair shows.

    Raises
    ------
    BenchError
        Without readings, or where the wires have more than the chain.

    Examples
    --------
    >>> chain = [Band.with_tolerance(0.16, 0.01), Band.with_tolerance(0.20, 0.01)]
    >>> [round(v, 4) for v in (contact_ohm(chain, 10).min, contact_ohm(chain, 10).max)]
    [0.015, 0.021]
    """
    if not readings or not 1 <= pairs <= 1000:
        raise BenchError("at least one reading over at least one pair is needed")
    wires = Band.exact(0.0) if wire_ohm is None else wire_ohm
    each = [worst_case(lambda r, wire: (r - wire) / pairs, r, wires) for r in readings]
    if any(one.typical < 0.0 for one in each):
        raise BenchError("the wires between the contacts have more resistance than the whole chain")
    return hull([not_below_zero(one) for one in each])
