"""An igniter lights later after its cue than the show allows.

What it checks
--------------
The latest light time (worst tolerance corner) of each igniter a cue means to light, against
`latest_light_s` of the cue, or else of the show's requirements. It is an error if the typical
time is over the limit, else a warning.

Why it matters
--------------
Slow igniters take seconds on a weak supply or a long line, so the effect misses its moment.

Model and limits
----------------
Counts from the moment the box switches, repeats included. Igniters that do not light at all, or
not at the worst corner, are the matter of FIR001 and FIR002; for the latter the typical time is
judged.

Example
-------
A limit of 0.5 s and a clip-on igniter that lights after 0.4 s at typical values and 0.7 s at the
worst corner.

Do instead
----------
Shorter or thicker cable, fewer igniters on the way, a faster igniter class. Or plan for the light
time: state `effect_at_s`, so that the cue switches earlier, and allow more in its `latest_light_s`.

Settings
--------
`latest_light_s` of a cue or of `[requirements]`; without either the rule is silent.

References
----------
None.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import cue_place
from bridgewire.timeline.outcomes import IgniterOutcome
from bridgewire.units import seconds, told_apart

RULE = Rule("TIM006", "lights-late", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue with an igniter that lights too late."""
    for cue in context.cues:
        stated = context.show.cue[cue.cue].latest_light_s
        limit = context.requirements.latest_light_s if stated is None else stated
        if limit is None:
            continue
        late = [
            (_latest(i), i)
            for i in cue.meant
            if not i.lit_before and math.isfinite(i.light.typical) and _latest(i) > limit
        ]
        if not late:
            continue
        worst, igniter = max(late, key=lambda pair: pair[0])
        also = f", and {len(late) - 1} more of the cue with it" if len(late) > 1 else ""
        usual, at_worst, most = told_apart(seconds, igniter.light.typical, worst, limit=limit)
        if math.isfinite(igniter.light.latest):
            when = f"{at_worst} after cue {cue.id!r} at the worst corner ({usual} typically)"
        else:
            when = f"{usual} after cue {cue.id!r} typically, and never at the worst corner"
        yield RULE.finding(
            f"igniter {igniter.id!r} lights {when}; at most {most} is allowed{also}",
            cue_place(context, cue.cue, ("latest_light_s",)),
            severity=Severity.ERROR if igniter.light.typical > limit else Severity.WARNING,
            measured=worst,
            limit=limit,
            unit="s",
            subjects=(cue.id, *(i.id for _, i in late)),
            remedy="bring more current to it (shorter or thicker cable, a splitter in place of a "
            "chain, fewer igniters on the way), use a faster igniter class, or, where the cue "
            "switches early on purpose, allow more in its latest_light_s",
        )


def _latest(igniter: IgniterOutcome) -> float:
    latest = igniter.light.latest
    return latest if math.isfinite(latest) else igniter.light.typical
