"""An igniter is lit, but its bridge still conducts after the pulse.

What it checks
--------------
The state of each igniter after its cue. If it is lit but not burned open, and a later cue uses
the same way, it is a warning; it will take current from whatever that cue should light. Without a
later cue it is a note.

Why it matters
--------------
A closed bridge loads the way like an unlit one. It also reads as a good circuit in a continuity
test, so an effect that has gone looks as if it had not.

Model and limits
----------------
Typical state, and for ways that are used again also the state at the worst corner.

Example
-------
A clip-on igniter that lights 1.8 s into a pulse of 2 s: the wire is red but whole when the box
switches off.

Do instead
----------
A longer pulse opens it; so does a repeat after the hold-off.

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
from bridgewire.timeline.outcomes import EndState

RULE = Rule("FIR004", "stays-closed", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each lit igniter that stays closed."""
    ordered = context.cues_by_time
    last_use = {cue.way: place for place, cue in enumerate(ordered)}
    for place, cue in enumerate(ordered):
        again = cue.way is not None and last_use[cue.way] > place
        later = next(c for c in ordered[place + 1 :] if c.way == cue.way) if again else None
        for igniter in cue.meant:
            typical = igniter.end_state is EndState.CLOSED
            worst = igniter.worst_end_state is EndState.CLOSED
            if igniter.lit_before or not (typical or (worst and later is not None)):
                continue
            may = "stays closed" if typical else "may stay closed"
            yield RULE.finding(
                f"igniter {igniter.id!r} {may} after cue {cue.id!r}"
                + (f" and loads cue {later.id!r} on the same way" if later else ""),
                cue_place(context, cue.cue, ("pulse_s",)),
                severity=Severity.WARNING if later else Severity.INFO,
                subjects=(cue.id, igniter.id, *((later.id,) if later else ())),
                remedy="lengthen the pulse or repeat it, which may open the bridge; until it is "
                "open a continuity test cannot tell it from an unfired one",
            )
