"""A cue names an igniter that is not on its way.

What it checks
--------------
The igniters in `lights` of every cue: each must be on the way that the cue fires.

Why it matters
--------------
The cue does not light it. Either the address or the name is wrong, and an effect will be missing.

Model and limits
----------------
Wiring counts, not names: an igniter is on the way whose number its terminal has, on the output
that its strip hangs on.

Example
-------
A cue on `heron-1/1/4` with `lights = ["comet right"]`, while "comet right" is on `jetty-2/5`.

Do instead
----------
Correct the address of the cue or the name, or move the igniter to the way.

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
from bridgewire.rules.subjects import way_name
from bridgewire.timeline.schedule import cue_igniters

RULE = Rule("TIM010", "cue-names-igniter-elsewhere", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter that a cue names and cannot reach."""
    layout = context.layout
    placed = {p.index: p for p in layout.igniters}
    for cue in layout.cues:
        if cue.way is None:
            continue
        here = {p.index for p in cue_igniters(layout, cue)}
        for place, igniter in enumerate(cue.lights or ()):
            if igniter in here:
                continue
            way = layout.way_of(placed[igniter])
            where = "on no box" if way is None else f"on way {way_name(way)}"
            remedy = "wire its strip to an output" if way is None else f"fire {way_name(way)}"
            ident = placed[igniter].id
            yield RULE.finding(
                f"cue {cue.cue.id!r} fires way {way_name(cue.way)} and names igniter {ident!r}, "
                f"which is {where}",
                ("cue", cue.index, "lights", place),
                subjects=(cue.cue.id, ident),
                remedy=f"{remedy}, name another igniter, or move {ident!r} to the cue's way",
            )
