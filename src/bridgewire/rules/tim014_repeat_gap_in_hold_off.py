"""A cue repeats sooner than its box can fire again.

What it checks
--------------
The pause between the pulses of a cue with `repeat` against the hold-off of its box.

Why it matters
--------------
The box ignores the repeat, or fires it late. A retry that the plan counts on does not happen.

Model and limits
----------------
Hold-off counts from the end of a pulse, as `gap_s` does. It covers the way whatever its scope.

Example
-------
`repeat = { times = 1, gap_s = 0.2 }` on a box with a hold-off of 0.5 s.

Do instead
----------
Lengthen the pause to the hold-off or more. If short pulses in quick succession are needed to
light a slow igniter, use one longer pulse.

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
from bridgewire.units import seconds, told_apart

RULE = Rule("TIM014", "repeat-gap-in-hold-off", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue whose repeats come too soon."""
    for cue in context.cues:
        repeat = context.show.cue[cue.cue].repeat
        box = context.box_of(cue)
        hold = None if box is None else box[1].hold_off
        if repeat is None or repeat.times < 1 or hold is None:
            continue
        if repeat.gap_s >= hold.time_s - 1e-9:
            continue
        pause, hold_off = told_apart(seconds, repeat.gap_s, limit=hold.time_s)
        yield RULE.finding(
            f"cue {cue.id!r} repeats after a pause of {pause}, within the hold-off of {hold_off}",
            ("cue", cue.cue, "repeat", "gap_s"),
            measured=repeat.gap_s,
            limit=hold.time_s,
            unit="s",
            subjects=(cue.id,),
            remedy=f"set gap_s = {hold.time_s:g} or more, or use one longer pulse",
        )
