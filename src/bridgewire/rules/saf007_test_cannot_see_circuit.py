"""A good circuit can read as open in the continuity test.

What it checks
--------------
The resistance of every way with igniters, at the high end of its tolerances, against the
resistance up to which the test of its box reads closed. It is an error if the typical resistance
is above it.

Why it matters
--------------
A test that cries wolf gets ignored, and then nobody sees the circuit that is open.

Model and limits
----------------
All igniters connected and cold. The drop of a diode in the way is left out; a test that goes
through diodes must allow for it.

Example
-------
Forty bridge igniters in series, 160 ohm, on a test that reads closed up to 100 ohm.

Do instead
----------
Split the string over ways, or measure the circuit with a tester made for igniters, and expect the
box to show it as open. Test only with everybody at the distance that holds for firing.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.continuity import tested_ways
from bridgewire.rules.subjects import way_name
from bridgewire.timeline.charge import load_S
from bridgewire.units import ohms, told_apart

RULE = Rule("SAF007", "test-cannot-see-circuit", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each way that the test cannot see."""
    for way, test, circuit in tested_ways(context):
        highest = 1.0 / load_S(circuit, 2)
        if test.threshold_ohm is None or highest <= test.threshold_ohm:
            continue
        typical = 1.0 / load_S(circuit, 1)
        placed = context.layout.by_way[way]
        most, usual, above = told_apart(ohms, highest, typical, limit=test.threshold_ohm)
        yield RULE.finding(
            f"way {way_name(way)} can have {most} when it is good ({usual} typically), but the "
            f"test of box {way[0]!r} reads open above {above}",
            placed[0].path,
            severity=Severity.ERROR if typical > test.threshold_ohm else Severity.WARNING,
            measured=highest,
            limit=test.threshold_ohm,
            unit="ohm",
            subjects=(way_name(way), *(p.id for p in placed)),
            remedy="put fewer igniters in series, or measure this way with a tester made for "
            "igniters, with everybody at firing distance",
        )
