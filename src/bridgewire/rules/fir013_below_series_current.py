"""A series string gets less current than its class needs to fire together.

What it checks
--------------
Strings of two or more igniters in series: the current at the worst corner against the series
firing current of the class (`series_fire_A` in the kit).

Why it matters
--------------
In series the quickest bridge opens the circuit for all. The published series current is what
makes sure that the slowest has had its impulse by then.

Model and limits
----------------
The current at ignition at the worst corner. Classes without a series current are not judged here;
FIR008 follows the heating itself.

Example
-------
Five bridge igniters of type A in series, which need 0.8 A, at 0.7 A.

Do instead
----------
Fewer in the string, more voltage, thicker cable, or two strings on two ways.

Settings
--------
None.

References
----------
1. SprengV Anlage 2 Nr. 1.2: 0.8 A, Nr. 1.3: 1.5 A, five alike in series fire together.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.units import amperes, told_apart

RULE = Rule("FIR013", "below-series-current", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each string that gets too little."""
    classes = {p.index: p.klass for p in context.layout.igniters}
    for cue in context.cues:
        if cue.way is None or cue.way not in context.layout.by_way:
            continue
        circuit = context.circuit(cue.way)
        in_series = {
            circuit.bridge_igniter[bridge]: len(string.bridges)
            for string in circuit.strings
            for bridge in string.bridges
        }
        for igniter in cue.meant:
            least = classes[igniter.igniter].series_fire_A
            current, count = igniter.worst_A, in_series.get(igniter.igniter, 1)
            if least is None or current is None or count < 2 or igniter.lit_before:
                continue
            if current >= least:
                continue
            gets, needs = told_apart(amperes, current, limit=least)
            yield RULE.finding(
                f"igniter {igniter.id!r}, one of {count} in series, gets {gets} at the "
                f"worst corner of cue {cue.id!r}; its class needs {needs} in series",
                ("cue", cue.cue),
                measured=current,
                limit=least,
                unit="A",
                subjects=(cue.id, igniter.id),
                remedy=f"bring {amperes(least)} to the string: fewer in series, more voltage, "
                "thicker cable",
            )
