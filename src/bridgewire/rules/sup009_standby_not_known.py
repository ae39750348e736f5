"""Nobody says what a box draws while it waits, or for how long.

What it checks
--------------
Battery boxes in use need `standby_A` in the kit and `standby_s` in the show.

Why it matters
--------------
A box that waits for hours can use more charge than all its pulses. Without the two figures only
the pulses are counted in SUP003 and in the voltage at each cue.

Model and limits
----------------
A standby current of 0 may be stated. The waiting time counts from switching the box on to the
start of the show.

Example
-------
A box that stands on the lawn, switched on, from noon to dusk, with no `standby_s`.

Do instead
----------
Measure the current of the waiting box, and state when it is switched on.

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

RULE = Rule("SUP009", "standby-not-known", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each battery box whose waiting is not known."""
    for box_id, (index, kind, full_id) in context.layout.boxes.items():
        if not isinstance(kind.supply, BatterySupply):
            continue
        lacks = []
        if kind.supply.standby_A is None:
            lacks.append(f"standby_A of box {full_id} in the kit")
        if context.show.box[index].standby_s is None and kind.supply.standby_A != 0.0:
            lacks.append("standby_s in the show")
        if lacks:
            yield RULE.finding(
                f"what box {box_id!r} draws while it waits is not counted: "
                f"{' and '.join(lacks)} is not stated",
                ("box", index),
                subjects=(box_id,),
                remedy="state " + " and ".join(lacks),
            )
