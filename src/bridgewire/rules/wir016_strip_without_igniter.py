"""A strip has no igniter.

What it checks
--------------
Every strip that is wired to a box, for igniters on its terminals.

Why it matters
--------------
Either igniters are missing from the show, and with them everything that would be said about them,
or the strip is not needed. In a chain it costs contacts for nothing.

Model and limits
----------------
Strips that hang on no box are WIR008.

Example
-------
A strip kept as a spare in the middle of a chain.

Do instead
----------
Add its igniters or take it out.

Settings
--------
None.

References
----------
None: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.wiring import ways_behind

RULE = Rule("WIR016", "strip-without-igniter", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each wired strip with no igniter on it."""
    carrying = {p.part.id for p in context.layout.igniters}
    behind = ways_behind(context)
    for part in context.layout.parts.values():
        if not part.is_strip or part.output is None or part.id in carrying:
            continue
        passes = bool(behind[part.id])
        yield RULE.finding(
            f"strip {part.id!r} has no igniter"
            + (" and only passes current on to the next part" if passes else ""),
            (*part.path, "id"),
            subjects=(part.id,),
            remedy="take it out and run the cable past it: it costs two contacts and its track in "
            "each leg"
            if passes
            else "take it out, or add the igniters that are meant to be there",
        )
