"""Igniters of a terminal in series in place of parallel, or the other way."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from bridgewire.circuit.layout import PlacedIgniter
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Edit, Remove, Set
from bridgewire.remedies.wiring import placed_of

KIND = "other-connection"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose all in series, and all in parallel, on the terminals of the cue."""
    outcome = case.as_written.cues[cue_id]
    placed = placed_of(case.as_written.layout, outcome)
    if outcome.way is None:
        return
    terminals: dict[str, list[PlacedIgniter]] = defaultdict(list)
    for p in placed:
        terminals[f"{p.part.id}/{p.way}"].append(p)
    for series in (False, True):
        edits: list[Edit] = []
        touched: list[str] = []
        number = 0
        for terminal, group in terminals.items():
            made = _in_series(terminal, group) if series else _in_parallel(group)
            if made:
                edits += made
                touched.append(terminal)
                number += sum(p.igniter.count for p in group)
        if not edits:
            continue
        yield Change(
            KIND,
            f"join the igniters on {', '.join(touched)} in {'series' if series else 'parallel'}",
            tuple(edits),
            frozenset((outcome.way[0],)),
            Effort(igniters=number),
        )


def _in_series(terminal: str, group: list[PlacedIgniter]) -> list[Edit]:
    edits: list[Edit] = [
        Set(("igniter", p.index, "connection"), "series")
        for p in group
        if p.igniter.count > 1 and p.igniter.connection != "series"
    ]
    if len(group) > 1 and len({p.igniter.string for p in group} - {None}) == 0:
        edits += [Set(("igniter", p.index, "string"), f"string on {terminal}") for p in group]
    return edits


def _in_parallel(group: list[PlacedIgniter]) -> list[Edit]:
    edits: list[Edit] = [
        Set(("igniter", p.index, "connection"), "parallel")
        for p in group
        if p.igniter.count > 1 and p.igniter.connection != "parallel"
    ]
    edits += [Remove(("igniter", p.index, "string")) for p in group if p.igniter.string is not None]
    return edits
