"""A terminal has more leads than it takes.

What it checks
--------------
Pairs of leads on each terminal, series strings counted once, against leads_per_terminal of the
strip's kind.

Why it matters
--------------
Leads that are squeezed in slip out again. The one that slips out is one that had passed the test
in the afternoon.

Model and limits
----------------
Parallel igniters count one pair of leads each.

Example
-------
Three igniters in parallel on a spring clamp that takes two pairs.

Do instead
----------
Use another strip on the same way, a series string, or a terminal block made for it.

Settings
--------
None.

References
----------
The kit profile's own figure.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.layout import PlacedIgniter
from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.kit import StripKind
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context

RULE = Rule("WIR013", "terminal-overfull", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each terminal with more igniter strings than it takes."""
    terminals: dict[tuple[str, int], list[PlacedIgniter]] = {}
    for placed in context.layout.igniters:
        terminals.setdefault((placed.part.id, placed.way), []).append(placed)
    for (strip, way), group in terminals.items():
        kind = group[0].part.kind
        most = kind.leads_per_terminal if isinstance(kind, StripKind) else None
        strings, over = _count(group, most)
        if most is None or over is None:
            continue
        yield RULE.finding(
            f"terminal {strip}/{way} has {strings} pairs of leads, but takes {most}",
            (*over.path, "at"),
            measured=float(strings),
            limit=float(most),
            subjects=(strip, *(p.id for p in group)),
            remedy="join igniters in series strings, or spread them over more strips or ways",
        )


def _count(group: list[PlacedIgniter], most: int | None) -> tuple[int, PlacedIgniter | None]:
    """Pairs of leads on a terminal, and the entry that goes beyond `most`."""
    named: set[str] = set()
    total = 0
    over: PlacedIgniter | None = None
    for placed in group:
        igniter = placed.igniter
        if igniter.string is not None:
            total += igniter.string not in named
            named.add(igniter.string)
        else:
            total += igniter.count if igniter.connection == "parallel" else 1
        if over is None and most is not None and total > most:
            over = placed
    return total, over
