"""A run is shorter than the distance between its ends.

What it checks
--------------
The stated length of each run against the straight distance between the coordinates of its two
parts.

Why it matters
--------------
The cable will not reach. On the field somebody adds a piece, and the circuit is no longer the one
that was checked.

Model and limits
----------------
The longest value of the length counts. Height is not part of the coordinates, so a run up a tower
may pass here and still be short.

Example
-------
length_m = 20 between a box at 0, 0 and a strip at 30, 10: they are 31.6 m apart.

Do instead
----------
Correct the length or the coordinates, and leave some slack.

Settings
--------
None.

References
----------
None: geometry.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.circuit.places import straight_distance_m
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.wiring import run_label, run_subjects
from bridgewire.units import significant, told_apart

RULE = Rule("WIR009", "run-shorter-than-distance", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each run that is shorter than the way it has to go."""
    for i, run in enumerate(context.show.run):
        if run.length_m is None:
            continue
        distance = straight_distance_m(context.show, i)
        if distance is None or run.length_m.max >= distance - 1e-6:
            continue
        is_m, apart_m = told_apart(significant, run.length_m.max, limit=distance)
        yield RULE.finding(
            f"{run_label(run)} is {is_m} m long, but its ends are {apart_m} m apart",
            ("run", i, "length_m"),
            measured=run.length_m.max,
            limit=distance,
            unit="m",
            subjects=run_subjects(run),
            remedy=f"use at least {math.ceil(distance)} m and some for the way on the ground, or "
            "correct the coordinates",
        )
