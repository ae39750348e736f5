"""A cable is thinner than firing lines should be.

What it checks
--------------
The metal cross-section of one leg of each run, conductors in parallel counted together, against
0.2 mm², which is 24 AWG.

Why it matters
--------------
Thin conductors cost reach: 28 AWG has two and a half times the resistance of 24 AWG. They also
break sooner at the plug when people walk over them.

Model and limits
----------------
A fixed limit of the trade, whatever the current. Whether the igniters light is computed anyway,
and an igniter behind a thin cable may well be sure. Blasting codes ask for much more, 20 AWG for
connecting wire and 14 AWG for the firing line, which hardly any display cable meets. Extra leads
of igniters are not judged.

Example
-------
A patch cable of 28 AWG as the last run to a strip.

Do instead
----------
Use 24 AWG or thicker, two such cables in parallel, or keep thin patch cables for the bench.

Settings
--------
None.

References
----------
24 AWG: common practice, no source. For comparison: Whitefish, Montana, Municipal Code 9-2-12 (14
and 20 AWG). TIA-568.2-D for data cable.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.physics.cable import cable_area_mm2
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.wiring import path_map_of, run_label, run_subjects
from bridgewire.units import plain, significant, told_apart

RULE = Rule("WIR003", "cable-too-thin", Severity.WARNING)

LEAST_MM2 = 0.2
"""Just below 24 AWG (0.2047 mm²), the thinnest conductor of installed data cable (TIA-568.2-D:
22 to 24 AWG). That firing lines should not be thinner is common practice, no source."""


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each run with less metal in one leg than the limit."""
    for i, run in enumerate(context.show.run):
        spec = context.layout.run_cables[i]
        area = cable_area_mm2(spec)
        path_map = path_map_of(context, context.layout.parts[run.to])
        if area is None or path_map is None:
            continue
        sharing = run.parallel * min(path_map.feed_conductors, path_map.return_conductors)
        metal = area * sharing
        if metal >= LEAST_MM2:
            continue
        each = f" ({sharing} conductors of {significant(area)} mm²)" if sharing > 1 else ""
        has, least = told_apart(plain, metal, limit=LEAST_MM2)
        yield RULE.finding(
            f"{run_label(run)} uses {run.cable!r} with {has} mm² in a leg{each}, "
            f"thinner than {least} mm² (24 AWG)",
            ("run", i, "cable"),
            measured=metal,
            limit=LEAST_MM2,
            unit="mm²",
            subjects=run_subjects(run),
            remedy="use 24 AWG or thicker, or lay cables in parallel; compare the reach of both in "
            "the report",
        )
