"""Nothing tells how long the pulse of a cue is.

What it checks
--------------
A cue that states no `pulse_s`, on a way where at least one igniter class has no default pulse.

Why it matters
--------------
Without a pulse nobody can say whether anything lights. It is not taken for granted.

Model and limits
----------------
Where all classes on the way have a default, the longest of them is used. Ways without igniters
are the matter of TIM005.

Example
-------
A cue without `pulse_s` on igniters of a class whose kit entry has no `default_pulse_s`.

Do instead
----------
State `pulse_s` in the cue, or `default_pulse_s` in the kit.

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
from bridgewire.rules.subjects import names
from bridgewire.timeline.schedule import cue_igniters

RULE = Rule("TIM013", "pulse-not-known", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue without a pulse."""
    for cue in context.layout.cues:
        placed = cue_igniters(context.layout, cue)
        if not placed or context.assessment.schedule.pulse_s[cue.index] is not None:
            continue
        silent = dict.fromkeys(p.class_id for p in placed if p.klass.default_pulse_s is None)
        whose = (
            f"class {names(silent)} has no default"
            if len(silent) == 1
            else f"classes {names(silent)} have none"
        )
        yield RULE.finding(
            f"cue {cue.cue.id!r} states no pulse, and {whose}",
            cue.path,
            subjects=(cue.cue.id, *silent),
            remedy="state pulse_s in the cue, or default_pulse_s in the kit",
        )
