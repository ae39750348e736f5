"""An igniter in series with others burns open before all of them are lit.

What it checks
--------------
Igniters in series on one terminal. At the worst corner of each, one of its mates must not part
before it is lit. It is an error if it does not light at typical values either.

Why it matters
--------------
Once one bridge of a string is open, no current flows in the others. The ones that were slower
stay unlit.

Model and limits
----------------
The worst corner takes the igniter slow and its mates quick to part. Igniters of one batch differ
less than that; those of different classes differ more, which WIR012 tells of the string as it is
wired. Both are told, since this finding belongs to the cue.

Example
-------
Three matches in series at 0.6 A, barely above all-fire: the quickest opens after 8 ms, the
slowest needs 12 ms.

Do instead
----------
More current, so that all have their impulse before the first opens; igniters of one class and
batch in a string; or parallel in place of series.

Settings
--------
None.

References
----------
1. SprengV Anlage 2 Nr. 1.2 and 1.3 (currents at which five alike in series fire together).
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.series import MORE_CURRENT, mates, mates_named
from bridgewire.timeline.outcomes import Verdict
from bridgewire.units import amperes

RULE = Rule("FIR008", "series-mate-opens-first", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter that a mate in series cuts off."""
    for cue in context.cues:
        for igniter in cue.meant:
            if not igniter.broken_by or igniter.lit_before:
                continue
            fails = igniter.verdict is Verdict.NO
            yield RULE.finding(
                f"igniter {igniter.id!r} {'does' if fails else 'may'} not light under cue "
                f"{cue.id!r}: {mates_named(igniter)}, in series with it, can burn open first "
                f"(worst corner, at {amperes(igniter.worst_A or 0.0)})",
                ("cue", cue.cue),
                severity=Severity.ERROR if fails else Severity.WARNING,
                measured=igniter.worst_A,
                unit="A",
                subjects=(cue.id, igniter.id, *mates(igniter)),
                remedy=MORE_CURRENT,
            )
