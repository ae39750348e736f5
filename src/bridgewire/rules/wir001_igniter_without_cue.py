"""No cue fires an igniter.

What it checks
--------------
Every igniter on a strip that is wired to a box: whether some cue means to light it. A cue means
what it names in `lights`, or all on its way if it names nothing.

Why it matters
--------------
An article that nothing fires stays live in the field after the show. Somebody has to find it and
make it safe.

Model and limits
----------------
Igniters on strips that hang on no box are reported with the strip (WIR008). An igniter on a way
that cues fire for others only is reported unless one of them lights it all the same; that is the
matter of SAF004.

Example
-------
Terminal jetty-1/5 carries an igniter, and the cues fire the ways 1 to 4.

Do instead
----------
Add the cue, name the igniter in `lights`, move it to a way that fires, or remove it.

Settings
--------
None.

References
----------
None: common practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names, way_name
from bridgewire.timeline.schedule import intended

RULE = Rule("WIR001", "igniter-without-cue", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each wired igniter that no cue means, and none lights by the way."""
    layout = context.layout
    fired: dict[WayKey | None, list[str]] = defaultdict(list)
    for cue in layout.cues:
        fired[cue.way].append(cue.cue.id)
    lit = {stray.igniter for cue in context.cues for stray in cue.strays if stray.lights}
    meant = {index for cue in layout.cues for index in intended(layout, cue)}
    for placed in layout.igniters:
        way = layout.way_of(placed)
        if way is None or placed.index in meant or placed.index in lit:
            continue
        others = fired.get(way)
        if others:
            yield RULE.finding(
                f"no cue means igniter {placed.id!r} on way {way_name(way)}, which {names(others)} "
                f"{'fires' if len(others) == 1 else 'fire'} for others",
                (*placed.path, "at"),
                subjects=(placed.id, *others),
                remedy="name it in lights of a cue on that way, put it on a way of its own with a "
                "cue, or take it out of the show",
            )
            continue
        yield RULE.finding(
            f"no cue fires igniter {placed.id!r} on way {way_name(way)}",
            (*placed.path, "at"),
            subjects=(placed.id,),
            remedy=f"add a cue with fire = {way_name(way)!r}, or take the igniter out of the show",
        )
