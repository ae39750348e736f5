"""A strip or splitter is wired to no box.

What it checks
--------------
Every strip and splitter: whether runs lead to it from an output. Parts behind an unwired one are
named with it.

Why it matters
--------------
What hangs on it cannot fire, and the plan of the field does not say which cable was meant to go
there.

Model and limits
----------------
A warning, and an error where igniters are on the part or behind it.

Example
-------
Strip jetty-3 stands in the show with igniters, but no run has to = "jetty-3".

Do instead
----------
Add the run, or remove the part.

Settings
--------
None.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names
from bridgewire.rules.wiring import parts_behind
from bridgewire.rules.words import count

RULE = Rule("WIR008", "part-not-wired", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each strip or splitter that hangs on no box, with what is behind it."""
    behind = parts_behind(context)
    for part in context.layout.parts.values():
        if part.output is not None or part.parent is not None:
            continue
        lost = {part.id, *(p.id for p in behind[part.id])}
        igniters = [p.id for p in context.layout.igniters if p.part.id in lost]
        noun = "strip" if part.is_strip else "splitter"
        others = [p for p in lost if p != part.id]
        message = f"{noun} {part.id!r} is wired to no box"
        if others:
            message += f", nor is what hangs on it: {names(sorted(others))}"
        if igniters:
            message += f"; {count(len(igniters), 'igniter')} there cannot fire"
        yield RULE.finding(
            message,
            (*part.path, "id"),
            severity=Severity.ERROR if igniters else RULE.severity,
            measured=float(len(igniters)) if igniters else None,
            limit=0.0 if igniters else None,
            subjects=(part.id, *igniters),
            remedy=f"add a run with to = {part.id!r}, or take the {noun} out of the show",
        )
