"""The box nearer to what it fires."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.circuit.places import coordinates, part_name
from bridgewire.circuit.problems import Problems
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Edit, Remove, Set
from bridgewire.remedies.wiring import laid_m, more_cable, typical_m

KIND = "move-box"
TRIED = 4
"""How many places are proposed, those with the least cable."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose the show's positions that need the least cable from the box."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    box_id = outcome.way[0]
    index = layout.boxes[box_id][0]
    places = coordinates(layout.show, Problems())
    runs = [i for i, r in enumerate(layout.show.run) if part_name(r.from_) == box_id]
    ends = [places.get(layout.show.run[r].to) for r in runs]
    if not runs or any(e is None for e in ends):
        return
    now = [typical_m(layout, r) for r in runs]
    if any(m is None for m in now):
        return
    here = places.get(box_id)
    found = []
    for position in layout.show.position:
        if position.at_m == here:
            continue
        lengths = [laid_m(layout, math.dist(position.at_m, e)) for e in ends if e is not None]
        saved = math.fsum(
            (old or 0.0) * layout.show.run[r].parallel - new * layout.show.run[r].parallel
            for r, old, new in zip(runs, now, lengths, strict=True)
        )
        found.append((saved, position.id, lengths))
    found.sort(key=lambda f: (-f[0], f[1]))
    for saved, position_id, lengths in found[:TRIED]:
        edits: list[Edit] = [Set(("box", index, "position"), position_id)]
        if layout.show.box[index].at_m is not None:
            edits.append(Remove(("box", index, "at_m")))
        edits += [Set(("run", r, "length_m"), m) for r, m in zip(runs, lengths, strict=True)]
        items = tuple(
            more_cable(layout, run, after - (before or 0.0))
            for run, before, after in zip(runs, now, lengths, strict=True)
        )
        word = f"{saved:.4g} m less" if saved >= 0 else f"{-saved:.4g} m more"
        yield Change(
            KIND,
            f"move box {box_id!r} to {position_id!r} ({word} cable from it)",
            tuple(edits),
            frozenset((box_id,)),
            Effort(items, metres=-saved),
            caveat="only where the box and whoever works it may be so near to the articles",
        )
