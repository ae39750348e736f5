"""A conductor carries more than its steady current rating.

What it checks
--------------
The highest current at any corner through one conductor of each run against rated_A of the cable.

Why it matters
--------------
A steady rating is what the conductor bears for hours. A pulse may exceed it, but not without
thought: repeats, long pulses and coiled cable add up.

Model and limits
----------------
Simple on purpose. Where the pulse cannot warm the conductor beyond the service temperature of its
insulation even if no heat is lost (IEC 60949), the finding is a note, else a warning. Where the
insulation is not known it is a warning. Laying, bundling and coiling are not modelled.

Example
-------
3 A for 2 s in a 24 AWG conductor rated 2 A: it warms by some 2 K, a note.

Do instead
----------
Nothing for a note. Else a shorter pulse, more copper or fewer igniters at once.

Settings
--------
None.

References
----------
The kit profile's own rating; IEC 60949 for the heating.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.element_loads import current, warmth, worst_loads
from bridgewire.rules.words import conductor_C
from bridgewire.units import amperes, seconds, told_apart

RULE = Rule("WIR007", "conductor-over-steady-rating", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each conductor that carries more than its steady rating."""
    for one in worst_loads(context, "cable", current):
        element, each_A = one.load.element, one.load.each_A
        if element.rated_A is None or each_A <= element.rated_A:
            continue
        warm = warmth(context, one)
        brief = warm is not None and warm.end_C <= warm.limits.operating_C
        end = (
            ""
            if warm is None
            else f"; without loss of heat that warms it to {conductor_C(warm.end_C)}"
        )
        carries, rated = told_apart(amperes, each_A, limit=element.rated_A)
        yield RULE.finding(
            f"cue {one.cue.id!r} sends {carries} for {seconds(one.energised_s)} through "
            f"each conductor of {element.label}, rated {rated} steady{end}",
            element.path,
            severity=Severity.INFO if brief else RULE.severity,
            measured=each_A,
            limit=element.rated_A,
            unit="A",
            subjects=(one.cue.id, element.item),
            remedy="the pulse is too short to heat it beyond its service temperature; avoid quick "
            "repeats"
            if brief
            else "shorten the pulse, use thicker or parallel conductors, or fewer igniters at once",
        )
