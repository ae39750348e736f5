"""An igniter lights at the worst corner, but with less margin than the show asks for.

What it checks
--------------
The margin of each igniter with the verdict *sure* against `margin` of the requirements.

Why it matters
--------------
The tolerances in a kit profile are what somebody wrote down. Dirt in a plug, a kinked cable or a
tired battery is not among them; the margin is what is left for those.

Model and limits
----------------
Margin is delivered over required current at the worst corner: the factor by which the current
could fall and the igniter still light in the pulse. It is exact for constant current.

Example
-------
Asked for 1.2, and the far match of a chain comes to 1.08.

Do instead
----------
Shorter or thicker cable, fewer igniters on the way, a longer pulse, a fuller battery.

Settings
--------
`margin` of `[requirements]`; without it the rule is silent.

References
----------
None.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.words import TIMES_NEEDED
from bridgewire.timeline.outcomes import Verdict
from bridgewire.units import significant, told_apart, volts

RULE = Rule("FIR005", "low-margin", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter whose margin is below what is asked for."""
    wanted = context.requirements.margin
    if wanted is None:
        return
    for cue in context.cues:
        for igniter in cue.meant:
            margin = igniter.margin
            if igniter.verdict is not Verdict.SURE or margin is None or margin >= wanted:
                continue
            lost = " and ".join(f"{d.label} ({volts(d.volts)})" for d in igniter.drops[:2])
            has, asked = told_apart(significant, margin, limit=wanted)
            yield RULE.finding(
                f"igniter {igniter.id!r} has a margin of {has} under cue {cue.id!r}; {asked} is "
                "asked for",
                ("cue", cue.cue),
                measured=margin,
                limit=wanted,
                unit=TIMES_NEEDED,
                subjects=(cue.id, igniter.id),
                remedy="shorten or thicken the cable, or lengthen the pulse"
                + (f"; most voltage is lost in {lost}" if lost else ""),
            )
