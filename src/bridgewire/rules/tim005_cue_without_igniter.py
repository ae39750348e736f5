"""A cue fires a way on which there is no igniter.

What it checks
--------------
Every cue whose way exists but has no igniter on any strip of that output.

Why it matters
--------------
Nothing happens at the cue. Either the igniter was forgotten in the show, or the cue has a wrong
output or way.

Model and limits
----------------
An igniter on a strip that hangs on no box is on no way. Where the same way number of another
output of the box has igniters, the finding names that output.

Example
-------
A cue on `heron-1/2/4` while the strip with way 4 is plugged into output 1.

Do instead
----------
Add the igniter, or correct the cue. A way that is kept free needs no cue.

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
from bridgewire.rules.subjects import ADDRESS_KEYS, cue_place, names, way_name
from bridgewire.timeline.schedule import way_exists

RULE = Rule("TIM005", "cue-without-igniter", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that reaches no igniter."""
    layout = context.layout
    for cue in context.cues:
        if cue.way is None or not way_exists(layout, cue.way) or layout.by_way.get(cue.way):
            continue
        box, output, way = cue.way
        others = [k for k in sorted(layout.by_way) if k[0] == box and k[2] == way]
        if others:
            remedy = (
                f"add an igniter, or fire {names([way_name(k) for k in others])}, where there are "
                "igniters"
            )
        elif not layout.strips_on_output.get((box, output)):
            remedy = f"wire a strip to output {output} of {box!r}, or fire another output"
        else:
            remedy = f"put an igniter on way {way} of this output, or correct the cue"
        yield RULE.finding(
            f"cue {cue.id!r} fires way {way_name(cue.way)}, on which there is no igniter",
            cue_place(context, cue.cue, ADDRESS_KEYS),
            subjects=(cue.id, box),
            remedy=remedy,
        )
