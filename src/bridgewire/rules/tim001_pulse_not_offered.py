"""A cue asks for a pulse that its box does not offer.

What it checks
--------------
The pulse of every cue (its own, or the default of its igniters' class) against the pulses that
the kit profile lists for the box: a list, or a range with a step.

Why it matters
--------------
The crew cannot set it. What is fired in its place is another pulse than the one that was checked.

Model and limits
----------------
A pulse counts as offered if it is within one microsecond of one that is.

Example
-------
A cue with `pulse_s = 0.3` on a box that offers 0.02, 0.05, 0.1 and 0.2 s.

Do instead
----------
Take the next longer pulse that the box offers, and check again: a longer pulse also keeps the
box, output or way busy for longer.

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
from bridgewire.rules.pulse_advice import longest_up_to
from bridgewire.rules.subjects import cue_place
from bridgewire.units import seconds, told_apart

RULE = Rule("TIM001", "pulse-not-offered", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue whose pulse cannot be set."""
    for cue in context.cues:
        box = context.box_of(cue)
        if box is None:
            continue
        box_id, pulses = box[0].id, box[1].pulses
        if pulses is None or cue.pulse_s is None or pulses.offers(cue.pulse_s):
            continue
        longer = pulses.shortest_at_least(cue.pulse_s)
        shorter = longest_up_to(pulses, cue.pulse_s)
        own = context.show.cue[cue.cue].pulse_s is not None
        whose = "a pulse" if own else "the default pulse of its igniters, one"
        near = [
            f"pulse_s = {value:g}, the next {word} one"
            for word, value in (("longer", longer), ("shorter", shorter))
            if value is not None
        ]
        needs, nearest = seconds(cue.pulse_s), ""
        if longer is not None:
            needs, offered = told_apart(seconds, cue.pulse_s, limit=longer)
            nearest = f"; the next longer one is {offered}"
        elif shorter is not None:
            needs, offered = told_apart(seconds, cue.pulse_s, limit=shorter)
            nearest = f"; its longest is {offered}"
        yield RULE.finding(
            f"cue {cue.id!r} needs {whose} of {needs}, which its box "
            f"{box_id!r} does not offer{nearest}",
            cue_place(context, cue.cue, ("pulse_s",)),
            measured=cue.pulse_s,
            limit=longer if longer is not None else shorter,
            unit="s",
            subjects=(cue.id,),
            remedy=f"set {', or '.join(near)}, and check again"
            if near
            else "set a pulse that the box offers",
        )
