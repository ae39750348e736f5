"""A cue fails, and a longer pulse that its box offers would light everything.

What it checks
--------------
Cues with an igniter that does not light (FIR001) are run again with the longest pulse of their
box. If then all igniters light even at the worst corner, the shortest pulse on offer that does it
is named.

Why it matters
--------------
Setting another pulse costs nothing; changing the wiring does.

Model and limits
----------------
Cues that repeat, or whose pulse overlaps another on the same box, are not tried: there a longer
pulse changes what else fires. Later cues are not checked against the longer pulse and its
hold-off; change it and check again. The fault is that of FIR001, told once more: this finding
stands at the pulse, which is what is wrong, and names the pulse that does.

Example
-------
Two clip-on igniters on a chain under a pulse of 0.5 s, on a box that offers up to 4 s: with 4 s
both light, one after the other.

Do instead
----------
Set the pulse that the finding names and check again.

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
from bridgewire.rules.pulse_advice import pulse_that_does
from bridgewire.rules.subjects import cue_place, names
from bridgewire.timeline.outcomes import Verdict
from bridgewire.units import seconds, told_apart

RULE = Rule("FIR007", "pulse-too-short", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that a longer pulse would save."""
    for cue in context.cues:
        pulse = pulse_that_does(context, cue)
        if cue.verdict is not Verdict.NO or cue.pulse_s is None or pulse is None:
            continue
        unlit = [i.id for i in cue.meant if i.verdict is Verdict.NO]
        has, does = told_apart(seconds, cue.pulse_s, limit=pulse)
        yield RULE.finding(
            f"a pulse of {has} is too short for {names(unlit)} under cue "
            f"{cue.id!r}; {does} lights all its igniters at the worst corner",
            cue_place(context, cue.cue, ("pulse_s",)),
            measured=cue.pulse_s,
            limit=pulse,
            unit="s",
            subjects=(cue.id, *unlit),
            remedy=f"set pulse_s = {pulse:g} and check again",
        )
