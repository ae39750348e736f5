"""Current flows through an igniter that no cue in force fires.

What it checks
--------------
Igniters on other ways than those that are switched on: the highest current at any corner against
a fraction of their no-fire current. Above the no-fire current itself it is an error.

Why it matters
--------------
Current that finds a way through unfired igniters can fire them late or unseen, or weaken them for
their own cue.

Model and limits
----------------
Sneak paths exist where conductors are shared: in a matrix without diodes, or with two ways of a
matrix on at once. An igniter that such a path lights is the matter of SAF005. Pick-up from radio
or mains is not computed. Above the no-fire current it is an error, though SAF009 only warns of the
same on the way that is fired: from that way everybody keeps the distance, and here the igniter
belongs to another cue, which counts on it.

Example
-------
Way 1 of a matrix without diodes fires; 0.1 A finds its way through ways 2, 6 and 5.

Do instead
----------
Diodes in the matrix, cues that do not overlap on crossing rows and columns, or a box with a pair
per way.

Settings
--------
`no_fire_fraction` of `[requirements]`, 0.1 where absent.

References
----------
14 CFR Part 417 Appendix D, D417.21(d): at most one tenth of the no-fire current in a firing line.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.words import count
from bridgewire.units import amperes, told_apart

RULE = Rule("SAF003", "sneak-current", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue, for the igniter that gets most."""
    limits = {p.index: p.klass.no_fire_A for p in context.layout.igniters}
    for cue in context.cues:
        over = []
        for stray in cue.strays:
            no_fire = limits[stray.igniter]
            if stray.on_way or stray.lights or stray.lit_before or no_fire is None:
                continue
            if stray.peak_A > context.no_fire_fraction * no_fire:
                over.append((stray.peak_A / no_fire, no_fire, stray))
        if not over:
            continue
        fraction, no_fire, worst = max(over, key=lambda entry: entry[0])
        others = count(len(over) - 1, "more igniter is", "more igniters are")
        limit = context.no_fire_fraction * no_fire
        gets, allowed = told_apart(amperes, worst.peak_A, limit=limit)
        yield RULE.finding(
            f"cue {cue.id!r} sends up to {gets} through igniter {worst.id!r} on another way; "
            f"{allowed} is allowed" + (f" ({others} over the limit too)" if len(over) > 1 else ""),
            ("cue", cue.cue),
            severity=Severity.ERROR if fraction > 1.0 else Severity.WARNING,
            measured=worst.peak_A,
            limit=limit,
            unit="A",
            subjects=(cue.id, *(stray.id for _, _, stray in over)),
            remedy="use a box with diodes or with a pair per way, or do not let cues overlap on "
            "crossing rows and columns",
        )
