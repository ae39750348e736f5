"""Two cues fire one way at once, or one after the other for the same igniters.

What it checks
--------------
Ways that several cues fire. If two pulses overlap it is an error. Otherwise it is a warning if
the later cue means an igniter that an earlier one meant as well, unless the later cue is plainly
a retry: it names what it lights, and an earlier cue meant all of that.

Why it matters
--------------
A way is one circuit: the first cue fires everything on it. A second cue is most often a mistyped
way number, and then one effect comes early and another never.

Model and limits
----------------
A cue that names no igniters means all on its way. Two cues that name different igniters of one
way are taken as meant (see SAF004 and FIR003 for whether that works). On a box with a hold-off an
overlap is also the matter of TIM002. Both are told: TIM002 says how long the box is busy, this rule
that the way may be mistyped.

Example
-------
Cues "comet left" at 10 s and "comet right" at 20 s both say `fire = "heron-1/1/4"`: both comets
go at 10 s.

Do instead
----------
Correct the way of one cue. For a retry use `repeat`, or let the later cue state in `lights` which
igniters it is there for.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import ADDRESS_KEYS, cue_place, names, way_name
from bridgewire.rules.words import seconds_up
from bridgewire.timeline.outcomes import CueOutcome
from bridgewire.timeline.schedule import Pulse
from bridgewire.units import seconds

RULE = Rule("TIM003", "two-cues-on-one-way", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each later cue on a way that another cue has fired."""
    earlier: dict[WayKey, list[CueOutcome]] = defaultdict(list)
    pulses = _pulses(context)
    for cue in context.cues_by_time:
        if cue.way is None or cue.cue not in pulses:
            continue
        found = _overlap(context, cue, earlier[cue.way], pulses)
        if found is None:
            found = _same_igniters(context, cue, cue.way, earlier[cue.way])
        if found is not None:
            yield found
        earlier[cue.way].append(cue)


def _pulses(context: Context) -> dict[int, list[Pulse]]:
    found: dict[int, list[Pulse]] = defaultdict(list)
    for firing in context.assessment.schedule.firings:
        for pulse in firing.pulses:
            found[pulse.cue].append(pulse)
    return found


def _overlap(
    context: Context, cue: CueOutcome, earlier: list[CueOutcome], pulses: dict[int, list[Pulse]]
) -> Finding | None:
    for other in reversed(earlier):
        for a in pulses[cue.cue]:
            for b in pulses[other.cue]:
                both = min(a.end_s, b.end_s) - max(a.start_s, b.start_s)
                if both > 1e-9:
                    return RULE.finding(
                        f"cues {other.id!r} and {cue.id!r} both fire way {way_name(a.way)}, and "
                        f"their pulses overlap by {seconds(both)}",
                        cue_place(context, cue.cue, ADDRESS_KEYS),
                        severity=Severity.ERROR,
                        measured=both,
                        limit=0.0,
                        unit="s",
                        subjects=(cue.id, other.id),
                        remedy=f"correct the way of one of them, or move cue {cue.id!r} at least "
                        f"{seconds_up(_shift(pulses[cue.cue], pulses[other.cue]))} later",
                    )
    return None


def _shift(pulses: list[Pulse], earlier: list[Pulse]) -> float:
    """By how much later pulses begin after the last of some earlier ones, s."""
    return max(p.end_s for p in earlier) - min(p.start_s for p in pulses)


def _same_igniters(
    context: Context, cue: CueOutcome, way: WayKey, earlier: list[CueOutcome]
) -> Finding | None:
    mine = {i.igniter: i.id for i in cue.meant}
    named = context.show.cue[cue.cue].lights is not None
    for other in reversed(earlier):
        theirs = {i.igniter for i in other.meant}
        shared = [name for index, name in mine.items() if index in theirs]
        if not shared or (named and len(shared) == len(mine)):
            continue
        return RULE.finding(
            f"cue {cue.id!r} fires way {way_name(way)} again, "
            f"{seconds(cue.switch_s - other.switch_s)} after cue {other.id!r}, which means to "
            f"light {names(shared)} as well",
            cue_place(context, cue.cue, ADDRESS_KEYS),
            subjects=(cue.id, other.id, *shared),
            remedy="correct the way of one of them; if it is a retry, name in lights which "
            "igniters of the earlier cue it is there for",
        )
    return None
