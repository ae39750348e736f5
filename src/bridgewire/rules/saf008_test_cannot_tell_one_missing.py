"""No continuity test can tell that one igniter of a group is missing.

What it checks
--------------
Ways with several igniters in parallel whose box has a continuity test: the lowest resistance with
one of them missing against the highest with all connected.

Why it matters
--------------
A group with a broken lead reads closed, and within its band even on a meter. One effect is
missing and nobody knows.

Model and limits
----------------
Each igniter (or series string) is left out in turn; the finding names one that makes no
difference. All tolerances are taken at their ends. One finding for each box, with the first such
way.

Example
-------
Four matches in parallel behind 40 m of 24 AWG cable: up to 8.5 ohm with all, 6.7 ohm or more with
three.

Do instead
----------
Measure each igniter by itself with a tester made for igniters before it is connected, or give
each its own way.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.continuity import tested_ways
from bridgewire.rules.subjects import way_name
from bridgewire.rules.words import count
from bridgewire.timeline.charge import load_S
from bridgewire.units import ohms, told_apart

RULE = Rule("SAF008", "test-cannot-tell-one-missing", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each box with ways on which a missing igniter cannot be seen."""
    blind: dict[str, list[tuple[WayKey, float, float, int]]] = defaultdict(list)
    for way, _, circuit in tested_ways(context):
        if len(circuit.strings) < 2:
            continue
        most = 1.0 / load_S(circuit, 2)
        least, string = min((1.0 / load_S(circuit, 0, s), s) for s in range(len(circuit.strings)))
        if least <= most:
            igniter = circuit.bridge_igniter[circuit.strings[string].bridges[0]]
            blind[way[0]].append((way, least, most, igniter))
    for ways in blind.values():
        way, least, most, igniter = ways[0]
        p = next(p for p in context.layout.by_way[way] if p.index == igniter)
        more = count(len(ways) - 1, "more way of this box is like it", "more ways are like it")
        also = f"; {more}" if len(ways) > 1 else ""
        whole, without = told_apart(ohms, most, limit=least)
        one = f"{p.id!r}" if p.igniter.count == 1 else f"one igniter of {p.id!r}"
        yield RULE.finding(
            f"way {way_name(way)} has up to {whole} when it is whole and {without} or more "
            f"without {one}, so no test of the way can tell{also}",
            p.path,
            measured=least,
            limit=most,
            unit="ohm",
            subjects=(way[0], p.id, *(way_name(w) for w, *_ in ways)),
            remedy="measure each igniter by itself with a tester made for igniters before it is "
            "connected",
        )
