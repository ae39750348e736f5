"""A cue fires an output or way that its box does not have.

What it checks
--------------
The output and way number of every cue against the outputs and ways of its box in the kit profile.
Both count from 1.

Why it matters
--------------
Nothing is fired, and it is a sign of a mistyped number.

Model and limits
----------------
Whether anything is wired to an output or way that exists is the matter of TIM005.

Example
-------
A cue with `fire = "heron-1/1/17"` on a box with sixteen ways per output.

Do instead
----------
Correct the number, or move the strip to an output that carries the way.

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
from bridgewire.rules.subjects import cue_place
from bridgewire.timeline.schedule import way_exists

RULE = Rule("TIM004", "way-out-of-range", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue whose way does not exist."""
    for cue in context.cues:
        box = context.box_of(cue)
        if cue.way is None or box is None or way_exists(context.layout, cue.way):
            continue
        on_site, kind = box
        _, output, way = cue.way
        bad_output = not 1 <= output <= kind.outputs
        what, got, last = (
            ("output", output, kind.outputs) if bad_output else ("way", way, kind.ways)
        )
        have = f"{what}s 1 to {last}" if last > 1 else f"{what} 1 only"
        yield RULE.finding(
            f"cue {cue.id!r} fires {what} {got} of box {on_site.id!r}, which has {have}",
            cue_place(context, cue.cue, ("fire", "target", what)),
            measured=float(got),
            limit=float(last),
            subjects=(cue.id, on_site.id),
            remedy=f"use {have}, or another box",
        )
