"""Nobody says how full the battery of a box is.

What it checks
--------------
Boxes with a battery must state `supply_V` (read on the meter, no load) or `charge_pct`.

Why it matters
--------------
The check then reckons with any state from empty to full: typical values as if full, the worst
corner as if empty. Much of what it calls marginal is only not known.

Model and limits
----------------
Open-circuit voltage over charge comes from the kit profile. A reading needs an hour of rest after
charging to be true.

Example
-------
A box with neither key.

Do instead
----------
Read the voltage on show day, before anything is connected, and put it in as `supply_V`.

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
from bridgewire.model.kit import BatterySupply
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context

RULE = Rule("SUP006", "battery-state-not-stated", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each battery of unknown state."""
    for box_id, (index, kind, _) in context.layout.boxes.items():
        box = context.show.box[index]
        if not isinstance(kind.supply, BatterySupply):
            continue
        if box.supply_V is None and box.charge_pct is None:
            yield RULE.finding(
                f"box {box_id!r} states neither supply_V nor charge_pct, so its battery is taken "
                "as anything from empty to full",
                ("box", index),
                subjects=(box_id,),
                remedy="state supply_V as read on the meter without load, or charge_pct",
            )
