"""A stated supply voltage does not fit the supply in the kit.

What it checks
--------------
`supply_V` of every box against what its kit profile makes possible: for a battery from empty to
full, for a regulated supply and a capacitor the band of the voltage.

Why it matters
--------------
A reading that is too high was taken on the charger, or belongs to another box; everything that is
computed from it is too good. One that is too low is a flat or broken battery.

Model and limits
----------------
A reading within 0.1 V of the range is let through, for the tolerance of a hand meter. For a
capacitor box the reading is only compared: the check reckons with the voltage in the kit.

Example
-------
`supply_V = 24.6` for a battery of 20.8 V.

Do instead
----------
Read again, off the charger and after an hour of rest, and see that the right kind of box is
stated.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.kit import BatterySupply, CapacitorSupply, Supply
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.units import told_apart, volts

RULE = Rule("SUP008", "supply-reading-implausible", Severity.WARNING)

_METER_V = 0.1


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each reading that cannot be."""
    for box_id, (index, kind, _) in context.layout.boxes.items():
        reading = context.show.box[index].supply_V
        possible = _possible(kind.supply)
        if reading is None or possible is None:
            continue
        low, high = possible
        if reading.max > high + _METER_V:
            measured, limit, word = reading.max, high, "most"
        elif reading.min < low - _METER_V:
            measured, limit, word = reading.min, low, "least"
        else:
            continue
        battery = isinstance(kind.supply, BatterySupply)
        rested = ", off the charger and after an hour of rest" if battery else ""
        says, can = told_apart(volts, measured, limit=limit)
        yield RULE.finding(
            f"box {box_id!r} states a supply of {says}, but its kind can have {can} at {word}",
            ("box", index, "supply_V"),
            measured=measured,
            limit=limit,
            unit="V",
            subjects=(box_id,),
            remedy=f"read it again without load{rested}, and see that the kind of box is right",
        )


def _possible(supply: Supply) -> tuple[float, float] | None:
    """Lowest and highest voltage that a supply can have, V."""
    if isinstance(supply, CapacitorSupply):
        return None if supply.charged_V is None else (supply.charged_V.min, supply.charged_V.max)
    full = supply.open_circuit_V
    if full is None:
        return None
    if not isinstance(supply, BatterySupply):
        return full.min, full.max
    if not supply.charge_curve:
        return 0.0, full.max
    curve = [p.open_circuit_V for p in sorted(supply.charge_curve, key=lambda p: p.charge_pct)]
    return full.min + curve[0] - curve[-1], full.max
