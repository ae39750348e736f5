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
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.timeline.supply_log import standby_lacks

RULE = Rule("SUP009", "standby-not-known", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each battery box whose waiting is not known."""
    for box_id, (index, _, _) in context.layout.boxes.items():
        lacks = standby_lacks(context.layout, box_id)
        if lacks:
            yield RULE.finding(
                f"what box {box_id!r} draws while it waits is not counted: "
                f"{' and '.join(lacks)} {'is' if len(lacks) == 1 else 'are'} not stated",
                ("box", index),
                subjects=(box_id,),
                remedy="state " + " and ".join(lacks),
            )
