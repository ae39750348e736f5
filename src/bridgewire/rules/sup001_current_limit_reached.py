"""The current limit of the supply holds back a cue.

What it checks
--------------
Cues in which the supply reaches its current limit. A fold-back limit is always reported. A
constant-current box is meant to work at its limit, so there it is a finding only if an igniter of
the cue is not sure to light.

Why it matters
--------------
At the limit more igniters do not draw more current: they share what there is, and each gets less.
With fold-back the current even falls.

Model and limits
----------------
Typical values; if the limit is reached only at some tolerance corner, it is a note.

Example
-------
Four matches in parallel on a constant-current box of 2 A get 0.5 A each.

Do instead
----------
Fewer igniters at once on one box: fire them from another box or a little later, or wire them in
series where the voltage suffices.

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
from bridgewire.units import amperes

RULE = Rule("SUP001", "current-limit-reached", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue at the supply's limit."""
    for cue in context.cues:
        box = context.box_of(cue)
        limit = None if box is None else box[1].supply.limit
        if box is None or limit is None or not cue.limited_ever:
            continue
        if limit.kind == "constant-current" and cue.verdict in (Verdict.SURE, None):
            continue
        yield RULE.finding(
            f"cue {cue.id!r} reaches the {limit.kind} limit of {amperes(limit.limit_A.typical)} of "
            f"box {box[0].id!r}"
            + ("" if cue.limited else " at a tolerance corner")
            + ("" if cue.peak_A is None else f" and gives up to {amperes(cue.peak_A)}"),
            ("cue", cue.cue),
            severity=Severity.WARNING if cue.limited else Severity.INFO,
            measured=cue.peak_A,
            limit=limit.limit_A.typical,
            unit="A",
            subjects=(cue.id, box[0].id),
            remedy="fire fewer igniters from this box at once, or wire them in series where the "
            "voltage suffices",
        )
