"""No cue fires an igniter.

What it checks
--------------
Every igniter on a strip that is wired to a box: whether a cue fires its way, or names it among
the igniters it lights.

Why it matters
--------------
An article that nothing fires stays live in the field after the show. Somebody has to find it and
make it safe.

Model and limits
----------------
Igniters on strips that hang on no box are reported with the strip (WIR008). An igniter on a way
that a cue fires for others only is no case of this rule.

Example
-------
Terminal jetty-1/5 carries an igniter, and the cues fire the ways 1 to 4.

Do instead
----------
Add the cue, move the igniter to a way that fires, or remove it.

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
from bridgewire.rules.subjects import way_name
from bridgewire.timeline.evaluate import intended

RULE = Rule("WIR001", "igniter-without-cue", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each wired igniter whose way no cue fires and which no cue names."""
    layout = context.layout
    fired = {cue.way for cue in layout.cues}
    meant = {index for cue in layout.cues for index in intended(layout, cue)}
    for placed in layout.igniters:
        way = layout.way_of(placed)
        if way is None or way in fired or placed.index in meant:
            continue
        yield RULE.finding(
            f"no cue fires igniter {placed.id!r} on way {way_name(way)}",
            (*placed.path, "at"),
            subjects=(placed.id,),
            remedy=f"add a cue with fire = {way_name(way)!r}, or take the igniter out of the show",
        )
