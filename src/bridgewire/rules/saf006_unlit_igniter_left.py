"""An igniter may still be unlit in the field after the show.

What it checks
--------------
Every igniter that some cue means to light: the best verdict over all its cues. *No* and *unknown*
are a warning, *marginal* is a note.

Why it matters
--------------
Unlit articles are the danger of clearing the site. The crew should know beforehand where to look,
and keep the waiting time.

Model and limits
----------------
Igniters without any cue are the matter of the wiring rules; they are left unlit too.

Example
-------
The far igniter of a chain that no pulse of the show lights.

Do instead
----------
Clear the finding by what FIR001 and FIR002 say. If it stays, put the position on the list for
clearing: keep the waiting time after the show, disconnect and short the leads, and treat the
article as live.

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

RULE = Rule("SAF006", "unlit-igniter-left", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter that may be left."""
    placed = {p.index: p for p in context.layout.igniters}
    for index, verdict in sorted(context.assessment.verdicts().items()):
        if verdict is Verdict.SURE:
            continue
        p = placed[index]
        how = {
            Verdict.NO: "will be left unlit after the show",
            Verdict.MARGINAL: "may be left unlit after the show",
            Verdict.UNKNOWN: "may be left unlit after the show: nobody can tell whether it lights",
        }[verdict]
        yield RULE.finding(
            f"igniter {p.id!r} at {p.igniter.at} {how}",
            p.path,
            severity=Severity.INFO if verdict is Verdict.MARGINAL else Severity.WARNING,
            subjects=(p.id,),
            remedy="make its cue sure; else list it for clearing, keep the waiting time and treat "
            "it as live",
        )
