"""Igniters that must light together light too far apart.

What it checks
--------------
For cues with `together = true`: latest minus earliest light time of the igniters the cue means,
against `spread_s` of the cue or of the requirements. Over the limit at typical values it is an
error; only at the worst corner, a warning.

Why it matters
--------------
Twin effects that go one after the other look like a fault. On a daisy chain of slow igniters the
far one may wait for the near one to burn open.

Model and limits
----------------
The worst spread takes each igniter at its own slow corner against each other igniter at its own
fast corner in the same show (same supply, same shared cable). Fuses are not part of it. Igniters
that do not light are the matter of FIR001 and FIR002.

Example
-------
Clip-on igniters on strips 20 m apart in a chain, `spread_s = 0.15`: the first lights after 0.32
s, the second after 1.37 s.

Do instead
----------
Feed both from one splitter over runs of equal length, or use a fast igniter class.

Settings
--------
`spread_s` of a cue or of `[requirements]`; without either the rule is silent.

References
----------
None.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import cue_place
from bridgewire.units import seconds, told_apart

RULE = Rule("TIM009", "spread-too-large", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that must light together and does not."""
    for cue in context.cues:
        stated = context.show.cue[cue.cue]
        limit = context.requirements.spread_s if stated.spread_s is None else stated.spread_s
        typical = cue.spread_typical_s
        if not stated.together or limit is None or typical is None or not math.isfinite(typical):
            continue
        worst = cue.spread_worst_s
        known = worst is not None and math.isfinite(worst)
        spread = max(typical, worst) if worst is not None and known else typical
        if spread <= limit + 1e-9:
            continue
        group = sorted((i for i in cue.meant if not i.lit_before), key=lambda i: i.light.typical)
        usual, most, allowed = told_apart(seconds, typical, spread, limit=limit)
        yield RULE.finding(
            f"the igniters of cue {cue.id!r} light within {usual} typically"
            + (f" and {most} at the worst corner" if known else "")
            + f", first {group[0].id!r}, last {group[-1].id!r}; {allowed} is allowed",
            cue_place(context, cue.cue, ("spread_s", "together")),
            severity=Severity.ERROR if typical > limit + 1e-9 else Severity.WARNING,
            measured=spread,
            limit=limit,
            unit="s",
            subjects=(cue.id, *(i.id for i in group)),
            remedy="feed them over runs of equal length from one splitter, use a faster igniter "
            "class, or give each its own way",
        )
