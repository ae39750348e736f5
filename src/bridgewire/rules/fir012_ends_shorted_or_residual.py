"""An igniter that conducts after firing shares its way with others.

What it checks
--------------
Igniters whose class ends shorted or with a residual resistance (`after_fire` in the kit), on ways
where other igniters are in parallel with them.

Why it matters
--------------
After it has fired, such an igniter takes more current than before. Those beside it that are
slower, and every later cue on the way, get less.

Model and limits
----------------
Judged by the class and the wiring; how far the current falls is part of the light times. Igniters
in the same series string are not harmed: there a short helps.

Example
-------
A bridge igniter that ends at 0.2 ohm, beside two slower ones on the same terminal.

Do instead
----------
Give it a way of its own, wire the group in series, or use a class that burns open.

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

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names, way_name
from bridgewire.units import ohms

RULE = Rule("FIR012", "ends-shorted-or-residual", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each such igniter that has others beside it."""
    for way, placed in context.layout.by_way.items():
        circuit = context.circuit(way)
        strings: dict[int, set[int]] = defaultdict(set)
        for number, string in enumerate(circuit.strings):
            for bridge in string.bridges:
                strings[circuit.bridge_igniter[bridge]].add(number)
        for p in placed:
            if p.klass.after_fire not in ("shorted", "residual"):
                continue
            beside = [q.id for q in placed if q is not p and strings[q.index] - strings[p.index]]
            alike = len(strings[p.index]) - 1
            if not beside and not alike:
                continue
            ohm = p.klass.after_fire_ohm
            left = "" if ohm is None else f" ({ohms(ohm.typical)})"
            yield RULE.finding(
                f"igniter {p.id!r} ends {p.klass.after_fire}{left} and is in parallel with "
                f"{names(beside) if beside else f'{alike} more of its kind'} on way "
                f"{way_name(way)}",
                (*p.path, "class"),
                measured=None if ohm is None else ohm.typical,
                unit="ohm",
                subjects=(p.id, *beside),
                remedy="give it a way of its own, or use igniters that burn open",
            )
