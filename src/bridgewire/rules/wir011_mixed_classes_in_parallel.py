"""Igniters of different classes on one way light unequally.

What it checks
--------------
Each cue that means to light igniters of two or more classes: the typical light times of the first
and the last, where these are of different classes.

Why it matters
--------------
On one way the quick class takes the current first, and the slow one waits until the quick ones
have parted, or lights far later on its own account. Effects that belong together come apart.

Model and limits
----------------
Typical light times as computed. The limit is the spread that the cue states, or that of the show
for a cue with `together = true`; where there is none, the last may take twice as long as the first.
Igniters in series on one string are WIR012.

Example
-------
A match and a slow clip-on igniter on the same terminal: 0.1 ms against 0.25 s.

Do instead
----------
Use one class on a way. Where a mix is needed, put each class on its own way and let the slow
one's cue start earlier.

Settings
--------
The spread_s of the cue; that of requirements for cues with `together`.

References
----------
None: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome
from bridgewire.units import seconds, told_apart

RULE = Rule("WIR011", "mixed-classes-in-parallel", Severity.WARNING)

UNEQUAL = 2.0
"""Latest over earliest light time from which igniters light unequally where no spread is stated.
Common practice, no source."""


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue whose igniters of several classes light unequally."""
    classes = {p.index: p.class_id for p in context.layout.igniters}
    for cue in context.cues:
        group = [
            i
            for i in cue.meant
            if not i.lit_before and i.terminal_A is not None and i.igniter in classes
        ]
        used = {classes[i.igniter] for i in group}
        lit = [i for i in group if math.isfinite(i.light.typical)]
        if len(used) < 2 or not lit:
            continue
        first = min(lit, key=lambda i: i.light.typical)
        last = max(group, key=lambda i: i.light.typical)
        gap, allowed = last.light.typical - first.light.typical, _allowed(context, cue, first)
        if gap <= allowed or classes[first.igniter] == classes[last.igniter]:
            continue
        by, most = told_apart(seconds, gap, limit=allowed)
        late = "not at all" if math.isinf(gap) else f"{by} later; {most} is allowed"
        yield RULE.finding(
            f"cue {cue.id!r} fires igniters of several classes on one way: {first.id!r} "
            f"({classes[first.igniter]}) lights after {seconds(first.light.typical)}, {last.id!r} "
            f"({classes[last.igniter]}) {late}",
            ("cue", cue.cue),
            measured=gap if math.isfinite(gap) else None,
            limit=allowed,
            unit="s",
            subjects=(cue.id, first.id, last.id),
            remedy=f"use one class on a way, or put {names(_of(group, classes, last))} on another "
            "way, under a cue that starts earlier",
        )


def _allowed(context: Context, cue: CueOutcome, first: IgniterOutcome) -> float:
    """How far apart they may light: the stated spread, else as much again as the first takes."""
    stated = context.cue(cue).cue
    if stated.spread_s is not None:
        return stated.spread_s
    if stated.together and context.requirements.spread_s is not None:
        return context.requirements.spread_s
    return (UNEQUAL - 1.0) * first.light.typical


def _of(
    group: list[IgniterOutcome], classes: dict[int, str], last: IgniterOutcome
) -> Iterator[str]:
    return (i.id for i in group if classes[i.igniter] == classes[last.igniter])
