"""A cue switches before the show starts.

What it checks
--------------
The moment at which the box switches for each cue must not lie before time 0 of the show.

Why it matters
--------------
An effect that is wanted soon after the start may need a cue before it: the light time of the
igniter and the fuse come first. Nobody fires that cue.

Model and limits
----------------
For cues that state only `effect_at_s`, the switching time is the wanted time less the typical
light time and fuse of the first effect. Time 0 is where the show's clock starts.

Example
-------
`effect_at_s = 2` for a comet on 60 mm of fuse that burns 10 mm in a second.

Do instead
----------
Shorten the fuse, use a faster igniter, want the effect later, or start the show's clock earlier.

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
from bridgewire.rules.subjects import TIME_KEYS, cue_place
from bridgewire.rules.words import seconds_up
from bridgewire.units import seconds

RULE = Rule("TIM011", "switch-before-start", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that switches before time 0."""
    for cue in context.cues:
        if cue.switch_s >= 0.0:
            continue
        by = seconds_up(-cue.switch_s)
        stated = context.show.cue[cue.cue].time_s is not None
        yield RULE.finding(
            f"cue {cue.id!r} {'switches' if stated else 'must switch'} {seconds(-cue.switch_s)} "
            "before the show starts",
            cue_place(context, cue.cue, TIME_KEYS),
            measured=cue.switch_s,
            limit=0.0,
            unit="s",
            subjects=(cue.id,),
            remedy=f"switch it {by} later, or start the show's clock earlier"
            if stated
            else f"shorten the fuse or use a faster igniter, want the effect at least {by} later, "
            "or start the show's clock earlier",
        )
