"""Between which temperatures a kit tells how a box's supply behaves."""

from __future__ import annotations

from attrs import frozen

from bridgewire.model.kit import BatterySupply, Supply

STATED_AT_C = 20.0
"""Temperature at which a kit states its figures."""


@frozen
class Knowledge:
    """What the kit tells about a supply at a temperature."""

    unknown: str | None = None
    """Why nothing can be said at that temperature; None where something can."""
    note: str | None = None
    """What is used although the kit does not quite say it."""


def knowledge(supply: Supply, coldest_C: float, warmest_C: float) -> Knowledge:
    """Tell whether a kit covers a range of temperatures.

    Parameters
    ----------
    supply : Supply
    coldest_C, warmest_C : float

    Returns
    -------
    Knowledge
        A battery is unknown outside `min_C` to `max_C`; colder than the coldest point of its
        `cold_curve` that states a resistance; and, without such points, anywhere but at 20 °C.
        Warmer than the warmest point, that point's figures are used and noted: capacity and
        resistance are better there. Other supplies have no temperature in the kit format.

    Examples
    --------
    >>> from bridgewire.model.kit import BatterySupply, ColdPoint
    >>> curve = (ColdPoint(-10, 70, 1.5), ColdPoint(20, 100, 1.0))
    >>> knowledge(BatterySupply("battery", cold_curve=curve), -15, -15).unknown
    'colder than the cold_curve, which begins at -10 °C'
    >>> knowledge(BatterySupply("battery"), 0, 0).unknown
    'the kit gives no cold_curve: its figures hold at 20 °C'
    """
    if not isinstance(supply, BatterySupply):
        note = f"the kit cannot say how cold changes a {supply.kind} supply: used as stated"
        return Knowledge(note=note)
    if supply.min_C is not None and coldest_C < supply.min_C:
        return Knowledge(f"colder than min_C, {supply.min_C:g} °C")
    if supply.max_C is not None and warmest_C > supply.max_C:
        return Knowledge(f"hotter than max_C, {supply.max_C:g} °C")
    only = abs(coldest_C - STATED_AT_C) < 0.01 and abs(warmest_C - STATED_AT_C) < 0.01
    if not supply.cold_curve:
        if only:
            return Knowledge()
        return Knowledge(f"the kit gives no cold_curve: its figures hold at {STATED_AT_C:g} °C")
    resistance = [p.at_C for p in supply.cold_curve if p.internal_ohm_factor is not None]
    if not resistance and not only:
        return Knowledge("the cold_curve gives no internal_ohm_factor")
    points = [p.at_C for p in supply.cold_curve]
    low = max(min(points), min(resistance, default=min(points)))
    high = min(max(points), max(resistance, default=max(points)))
    if coldest_C < low:
        return Knowledge(f"colder than the cold_curve, which begins at {low:g} °C")
    notes = []
    missing = [k for k in ("min_C", "max_C") if getattr(supply, k) is None]
    if missing:
        notes.append(f"the kit does not state {' and '.join(missing)}")
    if warmest_C > high:
        notes.append(f"warmer than the cold_curve, its last point ({high:g} °C) is used")
    return Knowledge(note="; ".join(notes) or None)
