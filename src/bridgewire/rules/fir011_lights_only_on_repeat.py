"""An igniter lights only on a repeat, or only under a later cue.

What it checks
--------------
Igniters whose typical light time lies after the first pulse of a cue with `repeat`; and igniters
that a cue means to light and does not, but a later cue that means them too does.

Why it matters
--------------
The effect comes at the repeat and not at its moment, and the retry that was there as a reserve is
used up.

Model and limits
----------------
Typical values. Heat that the first pulse leaves in the bridge counts.

Example
-------
A far match on a chain misses the first pulse and fires on the second, when the near ones are
spent.

Do instead
----------
Make the first pulse do: a longer one, thicker cable, a splitter. If the repeat is meant as part
of the plan, ignore this finding for the cue and state `latest_light_s`.

Settings
--------
None.

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
from bridgewire.timeline.outcomes import CueOutcome, Verdict
from bridgewire.units import seconds, told_apart

RULE = Rule("FIR011", "lights-only-on-repeat", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter that the first pulse does not light."""
    missed: dict[int, CueOutcome] = {}
    for cue in context.cues_by_time:
        for igniter in cue.meant:
            if igniter.verdict is Verdict.NO:
                missed.setdefault(igniter.igniter, cue)
                continue
            if igniter.lit_before or not math.isfinite(igniter.light.typical):
                continue
            first = missed.get(igniter.igniter)
            repeats = context.show.cue[cue.cue].repeat is not None
            if first is not None:
                text = f"lights only under cue {cue.id!r}, not under cue {first.id!r}"
                subjects: tuple[str, ...] = (cue.id, igniter.id, first.id)
            elif repeats and cue.pulse_s is not None and igniter.light.typical > cue.pulse_s:
                text = f"lights only on a repeat of cue {cue.id!r}"
                subjects = (cue.id, igniter.id)
            else:
                continue
            since = cue if first is None else first
            delay = cue.switch_s + igniter.light.typical - since.switch_s
            after, length = seconds(delay), ""
            if since.pulse_s is not None:
                after, pulse = told_apart(seconds, delay, limit=since.pulse_s)
                length = f" of {pulse}"
            yield RULE.finding(
                f"igniter {igniter.id!r} {text}, {after} after the first pulse{length} began",
                cue_place(context, cue.cue, ("repeat",)),
                measured=delay,
                limit=since.pulse_s,
                unit="s",
                subjects=subjects,
                remedy="make the first pulse longer or bring more current to the igniter, so that "
                "the repeat stays a reserve",
            )
