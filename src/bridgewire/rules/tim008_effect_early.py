"""An effect is seen too early against the time the cue wants.

What it checks
--------------
For cues with `effect_at_s`: the earliest moment at which the effect of each igniter is seen
(switching, light time, fuse) against the wanted time, with `effect_tolerance_s` of the
requirements. It is an error if it is too early at typical values, else a warning.

Why it matters
--------------
The effect misses the music or its partner. The light time of a slow igniter and the burning time
of a fuse are both part of it.

Model and limits
----------------
Where a cue states no `time_s`, the box switches so that its first effect is typically on time;
then the others of the cue may still be off. The band adds the tolerance of light time and of
fuse, which is on the wide side.

Example
-------
`effect_at_s = 60` and `time_s = 55`, the fuse taken out, and a match that lights at once: the
effect comes at 55 s.

Do instead
----------
Move the cue by what the finding says, or leave `time_s` out. Where the band itself is too wide,
use a fuse or an igniter of narrower tolerance.

Settings
--------
`effect_tolerance_s` of `[requirements]`; without it the rule is silent.

References
----------
None.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.effects import off_time

RULE = Rule("TIM008", "effect-early", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue with an effect that is too early."""
    return off_time(context, RULE, late=False)
