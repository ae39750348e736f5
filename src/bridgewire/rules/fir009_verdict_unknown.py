"""Whether an igniter lights cannot be computed.

What it checks
--------------
Cues with an igniter whose verdict is *unknown*, because the kit profile or the show does not give
a value that its circuit needs.

Why it matters
--------------
What is not known is never taken as good. Until the value is there, nobody knows whether the
effect goes.

Model and limits
----------------
One missing value can hold up many cues: whatever hangs on that cable, contact or class. The
finding names the first few. A cue without a pulse is the matter of TIM013.

Example
-------
A run whose cable has neither a gauge nor a resistance per metre.

Do instead
----------
Measure the value, or take it from the data sheet, and put it in the kit profile with its source
and a tolerance.

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
from bridgewire.timeline.outcomes import Verdict

RULE = Rule("FIR009", "verdict-unknown", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that cannot be computed."""
    for cue in context.cues:
        unknown = [i.id for i in cue.meant if i.verdict is Verdict.UNKNOWN]
        if not unknown or cue.pulse_s is None:
            continue
        lacks = list(dict.fromkeys(f"{m.key} of {m.noun} {m.item!r}" for m in cue.missing))
        more = f" and {len(lacks) - 3} more" if len(lacks) > 3 else ""
        are = "is" if len(lacks) == 1 else "are"
        reason = f": {', '.join(lacks[:3])}{more} {are} not stated" if lacks else ""
        yield RULE.finding(
            f"nobody can tell whether cue {cue.id!r} lights {names(unknown)}{reason}",
            ("cue", cue.cue),
            subjects=(cue.id, *unknown),
            remedy="state the missing values in the kit profile or the show, with their source",
        )
