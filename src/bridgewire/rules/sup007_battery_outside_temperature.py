"""A battery is colder or hotter on site than it may be.

What it checks
--------------
The ambient temperature at every battery box (its own, or the site's) against `min_C` and `max_C`
of its supply. It is an error if the typical temperature is outside.

Why it matters
--------------
Outside its range a battery gives little or nothing, or switches itself off.

Model and limits
----------------
The battery is taken to be at ambient. Its loss of capacity in the cold within the range is
reckoned in SUP003.

Example
-------
A lithium battery for -20 °C and more on a frozen lake at -25 °C.

Do instead
----------
Keep the box warm or shaded, or use a battery made for that temperature.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.supplies import site_ambient
from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.kit import BatterySupply
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context

RULE = Rule("SUP007", "battery-outside-temperature", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each battery outside its range."""
    for box_id, (index, kind, _) in context.layout.boxes.items():
        ambient = site_ambient(context.layout, context.show.box[index])
        supply = kind.supply
        if ambient is None or not isinstance(supply, BatterySupply):
            continue
        for limit, reached, typically, word, care, side in (
            (supply.min_C, ambient.min, ambient.typical, "at least", "warm", -1.0),
            (supply.max_C, ambient.max, ambient.typical, "at most", "shaded", 1.0),
        ):
            if limit is None or side * reached <= side * limit:
                continue
            own = context.show.box[index].ambient_C is not None
            yield RULE.finding(
                f"the battery of box {box_id!r} is made for {word} {limit:g} °C, but it may be "
                f"{reached:g} °C on site",
                ("box", index, "ambient_C") if own else ("site", "ambient_C"),
                severity=Severity.ERROR if side * typically > side * limit else Severity.WARNING,
                measured=reached,
                limit=limit,
                unit="°C",
                subjects=(box_id,),
                remedy=f"keep the box {care}, or use a battery made for that temperature",
            )
