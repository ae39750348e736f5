"""The current at the worst corner is less than 1.5 times the all-fire current.

What it checks
--------------
The current in each igniter that lights, at the worst corner, over the all-fire current of its
class. The least factor is `all_fire_factor` of the requirements, 1.5 where the show does not say.

Why it matters
--------------
The all-fire current is what 999 in 1000 igniters fire at, with 95 % confidence. It is a figure
for single shots on a bench, so firing circuits are laid out for half as much again.

Model and limits
----------------
The current at ignition, or the highest that the igniter gets if it does not light at the worst
corner. Classes without an all-fire current are not judged. Igniters with the verdict *no* are the
matter of FIR001.

Example
-------
An electric match of all-fire current 0.5 A that gets 0.62 A at the worst corner: a factor of
1.24.

Do instead
----------
More voltage or less resistance: shorter or thicker cable, fewer igniters in parallel.

Settings
--------
`all_fire_factor` of `[requirements]`, 1.5 where absent.

References
----------
14 CFR Part 417 Appendix D, D417.19(l)(1): at least 150 % of the all-fire qualification current at
the lowest battery voltage and worst tolerances.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.timeline.outcomes import Verdict
from bridgewire.units import amperes, significant, told_apart

RULE = Rule("FIR006", "below-all-fire-margin", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter that gets too little over its all-fire current."""
    classes = {p.index: p.klass for p in context.layout.igniters}
    for cue in context.cues:
        for igniter in cue.meant:
            all_fire = classes[igniter.igniter].all_fire_A
            if igniter.verdict not in (Verdict.SURE, Verdict.MARGINAL) or igniter.lit_before:
                continue
            if all_fire is None or igniter.worst_A is None:
                continue
            factor = igniter.worst_A / all_fire
            if factor >= context.all_fire_factor:
                continue
            gets, asked = told_apart(significant, factor, limit=context.all_fire_factor)
            yield RULE.finding(
                f"igniter {igniter.id!r} gets {amperes(igniter.worst_A)} at the worst corner of "
                f"cue {cue.id!r}, {gets} times its all-fire current of {amperes(all_fire)}; "
                f"{asked} times is asked for",
                ("cue", cue.cue),
                measured=factor,
                limit=context.all_fire_factor,
                unit="times the all-fire current",
                subjects=(cue.id, igniter.id),
                remedy=f"bring {amperes(all_fire * context.all_fire_factor)} to it: shorter or "
                "thicker cable, fewer igniters in parallel, more voltage",
            )
