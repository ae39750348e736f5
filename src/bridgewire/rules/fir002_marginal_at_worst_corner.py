"""An igniter lights at typical values, but not at the worst corner.

What it checks
--------------
Igniters with the verdict *marginal*: at typical values they light in the pulse; with the supply
weak, cable and contacts resistive, the igniter slow and its neighbours drawing most they do not,
or the current there is less than the class's data promise to ignite.

Why it matters
--------------
Most of them will light. Over a whole show a few will not, and each of those is an unlit article
in the field.

Model and limits
----------------
The worst corner is chosen for each igniter by the sign of each tolerance. It is a hard case, not
a likely one, but every part of it is within what the kit profile says. Where another igniter in
series can burn open first, the current needed is what lights this one before that; FIR008 tells
more.

Example
-------
The second clip-on igniter of a chain that lights 1.9 s into a pulse of 2 s.

Do instead
----------
A longer pulse (the finding names the shortest that works, if any does), a splitter in place of a
chain, thicker cable, a fuller battery, or a faster igniter class. Igniters in series need more
current, not time, or a place in parallel.

Settings
--------
None.

References
----------
Thermal model of hot bridge wires (L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033, 1961).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.pulse_advice import pulse_advice
from bridgewire.rules.series import MORE_CURRENT, mates_named
from bridgewire.rules.subjects import cue_place
from bridgewire.rules.words import TIMES_NEEDED
from bridgewire.timeline.outcomes import IgniterOutcome, Verdict
from bridgewire.units import amperes, seconds, significant, told_apart

RULE = Rule("FIR002", "marginal-at-worst-corner", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each marginal igniter."""
    for cue in context.cues:
        for igniter in cue.meant:
            if igniter.verdict is not Verdict.MARGINAL:
                continue
            worst, measured, limit, unit = _worst(igniter)
            yield RULE.finding(
                f"igniter {igniter.id!r} is marginal under cue {cue.id!r}: {_typical(igniter)}, "
                f"but at the worst corner {worst}",
                cue_place(context, cue.cue, ("pulse_s",)),
                measured=measured,
                limit=limit,
                unit=unit,
                subjects=(cue.id, igniter.id),
                remedy=MORE_CURRENT
                if igniter.broken_by
                else pulse_advice(context, cue)
                + "; shorter or thicker cable, fewer igniters on the way or a faster class raise "
                "the margin",
            )


def _typical(igniter: IgniterOutcome) -> str:
    if igniter.lit_before:
        return "typically an earlier cue has lit it"
    return f"it lights after {seconds(igniter.light.typical)} typically"


def _worst(igniter: IgniterOutcome) -> tuple[str, float | None, float | None, str]:
    """What is wrong at the worst corner in words; the value, its limit and their unit."""
    if math.isfinite(igniter.light.latest) and igniter.worst_A is not None:
        least = amperes(igniter.worst_A)
        words = f"its current, {least}, is less than its class's data promise to ignite"
        return words, igniter.worst_A, None, "A"
    if igniter.margin is None:
        return "it does not light", None, None, ""
    if igniter.margin >= 1.0:  # what is enclosed is a little wider than the corners
        return "it need not light", None, None, ""
    gets, _ = told_apart(significant, igniter.margin, limit=1.0)
    words = f"it gets {gets} of the current it needs"
    if igniter.broken_by:
        words += f" to light before {mates_named(igniter)}, in series with it, burns open"
    return words, igniter.margin, 1.0, TIMES_NEEDED
