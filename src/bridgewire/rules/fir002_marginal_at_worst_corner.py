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
a likely one, but every part of it is within what the kit profile says.

Example
-------
The second clip-on igniter of a chain that lights 1.9 s into a pulse of 2 s.

Do instead
----------
A longer pulse (the finding names the shortest that works, if any does), a splitter in place of a
chain, thicker cable, a fuller battery, or a faster igniter class.

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
from bridgewire.rules.subjects import cue_place
from bridgewire.timeline.outcomes import IgniterOutcome, Verdict
from bridgewire.units import amperes, seconds, significant

RULE = Rule("FIR002", "marginal-at-worst-corner", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each marginal igniter."""
    for cue in context.cues:
        for igniter in cue.meant:
            if igniter.verdict is not Verdict.MARGINAL:
                continue
            yield RULE.finding(
                f"igniter {igniter.id!r} is marginal under cue {cue.id!r}: {_typical(igniter)}, "
                f"but at the worst corner {_worst(igniter)}",
                cue_place(context, cue.cue, ("pulse_s",)),
                measured=igniter.margin,
                limit=1.0,
                subjects=(cue.id, igniter.id),
                remedy=pulse_advice(context, cue)
                + "; shorter or thicker cable, fewer igniters on the way or a faster class help "
                "as well",
            )


def _typical(igniter: IgniterOutcome) -> str:
    if igniter.lit_before:
        return "typically an earlier cue has lit it"
    return f"it lights after {seconds(igniter.light.typical)} typically"


def _worst(igniter: IgniterOutcome) -> str:
    if math.isfinite(igniter.light.latest) and igniter.worst_A is not None:
        return (
            f"its current, {amperes(igniter.worst_A)}, is less than its class's data promise to "
            "ignite"
        )
    if igniter.margin is None:
        return "it does not light"
    return f"it gets {significant(igniter.margin)} of the current it needs"
