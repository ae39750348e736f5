"""A cue can light an igniter on another way.

What it checks
--------------
Igniters that no cue in force means and that are not on a way that is switched on, but carry
current through shared conductors and light at their best corner.

Why it matters
--------------
An effect goes that nobody expects, at a position where somebody may be.

Model and limits
----------------
Two ways of a matrix that are on at once also close the two other crossings of their rows and
columns. Without diodes any way closes paths through all others. It is an error even at the best
corner alone, where SAF004 warns: from a way that is not fired nobody need keep the distance.

Example
-------
Ways 1 and 6 of a matrix of four by four fire together: rows 1 and 2 and columns 1 and 2 are on,
and so ways 2 and 5 fire as well.

Do instead
----------
Do not fire two ways of a matrix at once unless they share a row or a column; use another output
or box for one of them.

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
from bridgewire.rules.subjects import ADDRESS_KEYS, cue_place, names
from bridgewire.units import amperes

RULE = Rule("SAF005", "unintended-ignition", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that can light others; overlapping cues get one."""
    told: set[tuple[float, str, str]] = set()
    for cue in context.cues:
        lit = [s for s in cue.strays if s.lights and not s.on_way and not s.lit_before]
        box = "" if cue.way is None else cue.way[0]
        start = cue.results[0].firing.start_s if cue.results else cue.switch_s
        fresh = [s for s in lit if (start, box, s.id) not in told]
        told.update((start, box, s.id) for s in lit)
        if not fresh:
            continue
        others = sorted(
            {
                context.show.cue[pulse.cue].id
                for result in cue.results
                for pulse in result.firing.pulses
                if pulse.cue != cue.cue
            }
        )
        yield RULE.finding(
            f"cue {cue.id!r}"
            + (f" together with {names(others)}" if others else "")
            + f" can light {names(s.id for s in fresh)}, which it does not fire, with up to "
            f"{amperes(max(s.peak_A for s in fresh))}",
            cue_place(context, cue.cue, ADDRESS_KEYS),
            measured=max(s.peak_A for s in fresh),
            unit="A",
            subjects=(cue.id, *(s.id for s in fresh), *others),
            remedy=(
                "do not let these cues overlap, or put one of them on another output or box"
                if others
                else "fire it from a box that has diodes or a pair of conductors for each way"
            ),
        )
