"""A contact carries more than its rated current.

What it checks
--------------
The highest current at any tolerance corner through each contact of a way, shared out over the
contacts in parallel, against the contact's rated_A.

Why it matters
--------------
An overloaded contact heats up, its spring weakens and its resistance grows from show to show,
until an igniter behind it gets too little.

Model and limits
----------------
The rating is a steady one, and a pulse of some milliseconds harms little. How much above the
rating a contact stands for how long is not modelled, so the finding is a warning whatever the
pulse. The first moment counts, when all bridges still conduct.

Example
-------
Four slow igniters in parallel draw 3 A through a data plug rated 1.75 A.

Do instead
----------
Fewer igniters on one way, two outputs, more conductors and contacts in parallel, or connectors
made for power.

Settings
--------
None.

References
----------
IEC 60603-7: 1.75 A at 25 °C for data plugs, less when warm (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.element_loads import current, worst_loads
from bridgewire.units import amperes, seconds, told_apart

RULE = Rule("WIR005", "contact-over-rating", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each contact that carries more than its rated current."""
    for one in worst_loads(context, "contact", current):
        element, each_A = one.load.element, one.load.each_A
        if element.rated_A is None or each_A <= element.rated_A:
            continue
        carries, rated = told_apart(amperes, each_A, limit=element.rated_A)
        yield RULE.finding(
            f"cue {one.cue.id!r} sends {carries} for {seconds(one.energised_s)} through "
            f"each {element.label}, rated {rated}",
            element.path,
            measured=each_A,
            limit=element.rated_A,
            unit="A",
            subjects=(one.cue.id, element.item),
            remedy="spread the igniters over more ways or outputs, use more conductors in parallel "
            "or a stronger contact; for short pulses watch the contact for wear instead",
        )
