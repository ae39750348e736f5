"""An igniter gets more than its no-fire current, but does not light.

What it checks
--------------
Igniters on the way of a cue that typically do not light under it, but whose highest typical
current is above the no-fire current of their class.

Why it matters
--------------
Above the no-fire current an igniter may light late, smoulder, or be spoiled for the next try. A
hang fire is worse than one that is plainly dead.

Model and limits
----------------
Typical values. The no-fire current holds for a lasting current; a short pulse above it heats less,
and may do no harm. Igniters that a later cue lights are reported too. A warning: it concerns the
way that is being fired, from which everybody keeps the distance. That the igniter fails is an error
of its own (FIR001), and so is such a current on another way (SAF003).

Example
-------
The far igniter of a chain: no-fire current 0.5 A, 0.9 A through it for the whole pulse, and it
reaches 80 % of the heat it needs.

Do instead
----------
Make it light, or keep the current from it: a way of its own. After the show keep the waiting
time, and treat it as one that may still go.

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
from bridgewire.timeline.outcomes import Verdict
from bridgewire.units import amperes, told_apart

RULE = Rule("SAF009", "heated-but-unlit", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter that is heated and not lit."""
    classes = {p.index: p.klass for p in context.layout.igniters}
    for cue in context.cues:
        for igniter in cue.igniters:
            no_fire, current = classes[igniter.igniter].no_fire_A, igniter.terminal_A
            if igniter.verdict is not Verdict.NO or no_fire is None or current is None:
                continue
            if current <= no_fire:
                continue
            gets, bears = told_apart(amperes, current, limit=no_fire)
            yield RULE.finding(
                f"igniter {igniter.id!r} gets {gets} under cue {cue.id!r}, above its "
                f"no-fire current of {bears}, and does not light",
                ("cue", cue.cue),
                measured=current,
                limit=no_fire,
                unit="A",
                subjects=(cue.id, igniter.id),
                remedy="make it light or give it a way of its own; after the show keep the waiting "
                "time and treat it as one that may still go",
            )
