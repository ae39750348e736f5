"""Igniters of different classes are in series.

What it checks
--------------
Every series string on a terminal, for igniters of more than one class.

Why it matters
--------------
One current flows through all of them. The quick class parts first and cuts the current off, and
the slow ones stay unlit.

Model and limits
----------------
A warning for any mixed string, an error where the calculation finds at the worst corner that one
parts before another is lit. Even pieces of one class in series need more current than one alone,
which the calculation includes.

Example
-------
A match and a slow clip-on igniter in one string: the match has parted long before the igniter is
hot.

Do instead
----------
One class, and one batch, in a string.

Settings
--------
None.

References
----------
1. SprengV Anlage 2 states series firing currents for igniters of one class only.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.layout import PlacedIgniter
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names

RULE = Rule("WIR012", "mixed-classes-in-series", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each series string of igniters of several classes."""
    strings: dict[tuple[str, int, str], list[PlacedIgniter]] = {}
    for placed in context.layout.igniters:
        string = placed.igniter.string
        if string is not None:
            strings.setdefault((placed.part.id, placed.way, string), []).append(placed)
    broken = {i.id: i.broken_by for cue in context.cues for i in cue.meant if i.broken_by}
    for (strip, way, string), group in strings.items():
        first = group[0]
        other = next((p for p in group if p.class_id != first.class_id), None)
        if other is None:
            continue
        cut: dict[tuple[str, ...], list[str]] = {}
        for p in group:
            if p.id in broken:
                cut.setdefault(broken[p.id], []).append(p.id)
        message = (
            f"string {string!r} on {strip}/{way} has igniters of {first.class_id!r} and "
            f"{other.class_id!r} in series"
        )
        if cut:
            message += "; " + ", and ".join(
                f"{names(by)} can part before {names(ids)} {'is' if len(ids) == 1 else 'are'} lit"
                for by, ids in cut.items()
            )
        yield RULE.finding(
            message,
            (*other.path, "string"),
            severity=Severity.ERROR if cut else RULE.severity,
            subjects=tuple(p.id for p in group),
            remedy="use one class in a string, or put the classes in parallel or on ways of their "
            "own",
        )
