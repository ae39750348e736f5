"""The data of an igniter class contradict each other.

What it checks
--------------
Each igniter class in use: that heating constants can be derived at all; that no-fire is below
all-fire; that no piece within the stated heating data lights below the no-fire current; and that
the slowest piece lights at the all-fire current within the all-fire time.

Why it matters
--------------
One of the figures is wrong, and nobody can tell which. If it is the one that the verdict rests
on, igniters called sure do not light. If it is the no-fire current, a test current called safe is
not.

Model and limits
----------------
No-fire and all-fire currents are taken to hold at 20 °C, with steady current and without change
of the bridge's resistance. Bounds are those of the bands, each end by itself.

Example
-------
no_fire_A = 0.2 together with a threshold_A of 0.15 to 0.25 A.

Do instead
----------
Go back to the data sheet. Where figures come from two sources or two batches, keep those of one.

Settings
--------
None.

References
----------
14 CFR Part 417 Appendix D, D417.41(b) and (c), for no-fire and all-fire; the heating equation: L.
A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import IgniterClass
from bridgewire.physics.bridge_heating import light_time
from bridgewire.physics.igniter_data import REFERENCE_C, Heating, heating
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_items import used_classes
from bridgewire.units import amperes, seconds, told_apart

RULE = Rule("KIT007", "inconsistent-igniter-data", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each contradiction within a used igniter class."""
    site = context.assessment.simulation.ambient_C
    for klass in used_classes(context):
        for key, message, measured, limit, unit in contradictions(klass.entry, site):
            yield RULE.finding(
                f"{klass.label}: {message}",
                klass.at(key) if key else klass.path,
                document=klass.document,
                measured=measured,
                limit=limit,
                unit=unit,
                subjects=(klass.full_id,),
                remedy="compare the figures with the data sheet, or measure the currents and times "
                "again; until then no verdict on this class means anything",
            )


Contradiction = tuple[str, str, float | None, float | None, str]
"""Key (may be empty), message, measured value, limit, unit."""


def contradictions(klass: IgniterClass, ambient_C: Band) -> Iterator[Contradiction]:
    """Find what does not fit together in an igniter class.

    >>> ambient = Band.exact(20.0)
    >>> a = IgniterClass("a", "electric-match", threshold_A=Band.exact(0.15),
    ...                  tau_s=Band.exact(0.005), no_fire_A=0.2)
    >>> [key for key, *_ in contradictions(a, ambient)]
    ['no_fire_A']
    """
    no_fire, all_fire = klass.no_fire_A, klass.all_fire_A
    if no_fire is not None and all_fire is not None and no_fire >= all_fire:
        none, all_ = told_apart(amperes, no_fire, limit=all_fire)
        yield (
            "no_fire_A",
            f"no_fire_A {none} is not below all_fire_A {all_}",
            no_fire,
            all_fire,
            "A",
        )
        return
    try:
        heating(klass, ambient_C)
        data = heating(klass, Band.exact(REFERENCE_C))
    except ModelRangeError as error:
        yield "", str(error).removeprefix(f"{klass.id}: "), None, None, ""
        return
    if data is not None and data.basis in ("thermal", "threshold"):
        yield from _against_currents(klass, data)


def _against_currents(klass: IgniterClass, data: Heating) -> Iterator[Contradiction]:
    """Heating data against the currents of the data sheet, which hold at 20 °C."""
    low, high = data.fast[0], data.slow[0]
    if klass.no_fire_A is not None and low < klass.no_fire_A:
        quickest, stated = told_apart(amperes, low, limit=klass.no_fire_A)
        yield (
            "no_fire_A",
            f"its heating data let the quickest piece light from {quickest}, below its "
            f"no_fire_A of {stated}",
            low,
            klass.no_fire_A,
            "A",
        )
    if klass.all_fire_A is None:
        return
    time_s = math.inf
    if high < klass.all_fire_A:
        time_s = float(light_time(klass.all_fire_A, *data.slow))
    if math.isinf(time_s):
        slowest, stated = told_apart(amperes, high, limit=klass.all_fire_A)
        yield (
            "all_fire_A",
            f"its heating data let the slowest piece light only above {slowest}, which is not "
            f"below its all_fire_A of {stated}",
            high,
            klass.all_fire_A,
            "A",
        )
    elif klass.all_fire_time_s is not None and time_s > klass.all_fire_time_s:
        slowest, stated = told_apart(seconds, time_s, limit=klass.all_fire_time_s)
        yield (
            "all_fire_time_s",
            f"its heating data let the slowest piece light in {slowest} at "
            f"{amperes(klass.all_fire_A)}, later than its all_fire_time_s of {stated}",
            time_s,
            klass.all_fire_time_s,
            "s",
        )
