"""A cue comes before the capacitor is charged again.

What it checks
--------------
For capacitor boxes: the voltage at each pulse, repeats included, against the full voltage. From
99 % of it on a capacitor counts as charged. The finding says how much later the pulse must be.

Why it matters
--------------
Half the voltage is a quarter of the energy. The igniter lights late or not at all.

Model and limits
----------------
The charger brings the voltage up in a straight line, in `recharge_s` from empty to full. What a
pulse takes out is reckoned with all bridges whole over the whole pulse, which is on the high
side. Worst corner: lowest voltage and slowest charger. The last hundredth of the voltage is 2 % of
the energy, less than the spread of the capacitor itself; whether igniters light is computed with
the voltage that is there.

Example
-------
A box of 48 V that recharges in 1.5 s fires two cues 0.5 s apart: between them the charger brings
back 16 V.

Do instead
----------
Move the cue, shorten the pulse before it, or fire it from another box.

Settings
--------
None.

References
----------
None: that a capacitor counts as charged from 99 % (five time constants of a resistor that charges
it leave 0.7 %) is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import TIME_KEYS, cue_place
from bridgewire.rules.words import seconds_up
from bridgewire.timeline.outcomes import CueOutcome
from bridgewire.units import told_apart, volts

RULE = Rule("SUP004", "capacitor-not-recharged", Severity.WARNING)

CHARGED = 0.99
"""Of the full voltage, from where a capacitor counts as charged. Common practice, no source."""


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that a half-charged capacitor fires."""
    for cue in context.cues:
        box = context.box_of(cue)
        ledger = None if box is None else context.assessment.simulation.ledgers.get(box[0].id)
        if box is None or ledger is None or ledger.supply.recharge_s is None:
            continue
        full, recharge = ledger.supply.emf_V, ledger.supply.recharge_s
        for number, result in enumerate(cue.results):
            has, charged = result.emf_V.worst, CHARGED * full.min
            if has >= charged:
                continue
            wait = (charged - has) * recharge.max / full.min
            start = result.firing.start_s
            before = [c for c in context.cues if c.way and c.way[0] == box[0].id and c is not cue]
            blamed = _last(before, start) if number == 0 else cue
            what = f"cue {cue.id!r}" if number == 0 else f"repeat {number} of cue {cue.id!r}"
            at, enough = told_apart(volts, has, limit=charged)
            yield RULE.finding(
                f"{what} may start at {at} in place of {volts(full.min)} "
                f"({enough} would do): the capacitor is not charged again after "
                + ("the pulse before it" if blamed is cue else f"cue {blamed.id!r}"),
                cue_place(context, cue.cue, TIME_KEYS if number == 0 else ("repeat",)),
                measured=has,
                limit=charged,
                unit="V",
                subjects=(cue.id, *(() if blamed is cue else (blamed.id,)), box[0].id),
                remedy=f"fire it {seconds_up(wait)} later, or from another box"
                if number == 0
                else f"lengthen gap_s of the repeat by {seconds_up(wait)}, or shorten the pulse",
            )
            break


def _last(cues: list[CueOutcome], start_s: float) -> CueOutcome:
    """The cue whose firing ended last before a moment."""
    return max(
        cues,
        key=lambda c: max(
            (r.firing.end_s for r in c.results if r.firing.end_s <= start_s + 1e-9),
            default=-math.inf,
        ),
    )
