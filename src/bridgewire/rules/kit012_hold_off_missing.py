"""A box does not say how long it is blocked after a cue.

What it checks
--------------
Whether each kind of box in use states its hold-off.

Why it matters
--------------
A box that is still busy with one cue drops the next one. Without the figure two cues close to
each other look fine and the second may never fire.

Model and limits
----------------
Time from the end of a pulse until the box, output or way takes the next cue.

Example
-------
Two cues 0.3 s apart on one box whose profile says nothing.

Do instead
----------
Try it on the bench with lamps for igniters: move two cues closer until the second is dropped, and
state the time with some to spare.

Settings
--------
None.

References
----------
None: a rule of kit profiles.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_faults import lacking
from bridgewire.rules.kit_items import used_boxes

RULE = Rule("KIT012", "hold-off-missing", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used kind of box without a hold-off."""
    return lacking(
        RULE,
        used_boxes(context),
        "hold_off",
        "does not state hold_off, so cues close to each other on it are not judged",
        "state hold_off.scope (box, output or way) and hold_off.time_s; if the box takes the next "
        "cue at once, say time_s = 0",
    )
