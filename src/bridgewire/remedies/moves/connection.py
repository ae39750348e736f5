"""Igniters of a terminal in series in place of parallel, the other way, or in several strings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from bridgewire.circuit.layout import PlacedIgniter
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Append, Edit, Remove, Set
from bridgewire.remedies.plain import plain_item
from bridgewire.remedies.wiring import placed_of

KIND = "other-connection"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose all in series, all in parallel, and strings, on the terminals of the cue."""
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
            recipe="series" if series else "parallel",
        )
    for strings in (2, 3):
        cut = _strings(case, placed, strings) if len(placed) == 1 else None
        if cut:
            number = sum(p.igniter.count for p in placed)
            each = number // strings
            yield Change(
                KIND,
                f"join the {number} igniters on {', '.join(terminals)} in {strings} strings of "
                f"{each} in series, side by side, in place of one",
                tuple(cut),
                frozenset((outcome.way[0],)),
                Effort(igniters=number),
                recipe=f"{strings} strings",
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


def _strings(case: Case, placed: Sequence[PlacedIgniter], strings: int) -> list[Edit] | None:
    """Cut each entry of igniters in series into strings of equal number, side by side."""
    layout = case.as_written.layout
    taken = set(layout.names.values())
    edits: list[Edit] = []
    for p in placed:
        stated = p.igniter
        if stated.count % strings or stated.count <= strings or stated.connection != "series":
            return None
        edits += [
            Set(("igniter", p.index, "id"), p.id),
            Set(("igniter", p.index, "count"), stated.count // strings),
        ]
        more = []
        for n in range(2, strings + 1):
            name = f"{p.id} string {n}"
            if name in taken:
                return None
            twin = plain_item(stated)
            twin["id"], twin["count"] = name, stated.count // strings
            edits.append(Append(("igniter",), twin))
            more.append(name)
        for cue in layout.cues:
            if cue.cue.lights is not None and p.id in cue.cue.lights:
                edits.append(Set(("cue", cue.index, "lights"), [*cue.cue.lights, *more]))
    return edits
