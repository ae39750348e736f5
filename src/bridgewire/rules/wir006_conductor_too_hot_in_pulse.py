"""A pulse heats a conductor above what its insulation stands.

What it checks
--------------
Each run under each cue that fires through it: the conductor's temperature at the end of the
pulse, from the warmest ambient of the site, against the short-time limit of the insulation.

Why it matters
--------------
Softened insulation lets conductors touch. The way is then shorted, and the fault shows at some
later show. A drum or a bundle of cables also holds the heat.

Model and limits
----------------
No heat is lost (adiabatic), and the highest current of any corner flows for the whole pulse and
all its repeats. For thick conductors and pulses below 5 s that is close; for thin ones over many
seconds the real temperature is much lower. Heat from earlier cues and extra leads of igniters are
not counted. Limits: 160 °C for PVC, 200 to 350 °C for the others.

Example
-------
12.5 A for 5 s through one 24 AWG conductor with PVC: 161 °C from 40 °C.

Do instead
----------
Shorter pulses, fewer igniters at once, more copper.

Settings
--------
None.

References
----------
IEC 60949; IEC 60364-5-54 Annex A and BS 7671 for the temperature limits.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.element_loads import square_time, warmth, worst_loads
from bridgewire.rules.words import conductor_C
from bridgewire.units import amperes, seconds, told_apart

RULE = Rule("WIR006", "conductor-too-hot-in-pulse", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each conductor that a cue heats above its insulation's limit."""
    for one in worst_loads(context, "cable", square_time):
        warm = warmth(context, one)
        if warm is None or warm.end_C <= warm.limits.short_time_C:
            continue
        element = one.load.element
        end, stands = told_apart(conductor_C, warm.end_C, limit=warm.limits.short_time_C)
        yield RULE.finding(
            f"cue {one.cue.id!r} heats the conductors of {element.label} to "
            f"{end} with {amperes(one.load.each_A)} for "
            f"{seconds(one.energised_s)}, above the {stands} that its insulation stands for a "
            "short time",
            element.path,
            measured=warm.end_C,
            limit=warm.limits.short_time_C,
            unit="°C",
            subjects=(one.cue.id, element.item),
            remedy="shorten the pulse, spread the igniters over more ways, or use thicker or "
            "parallel conductors",
        )
