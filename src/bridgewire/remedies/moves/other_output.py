"""The strips of a cue on another output of the same box, or of another box."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change
from bridgewire.remedies.moves.split_chain import fed_from
from bridgewire.remedies.wiring import below, free_outputs, parts_of

SAME_BOX = "other-output"
OTHER_BOX = "other-box"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose a free output of each box for each strip that the cue fires."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    for box, (_, kind, _) in layout.boxes.items():
        free = free_outputs(layout, box)
        if not free:
            continue
        for part in parts_of(layout, outcome):
            same = box == outcome.way[0]
            if any(
                layout.run_cables[p.run].conductors < kind.path.conductors_needed(kind.ways)
                for p in below(layout, part)
                if p.run is not None
            ):
                continue  # its cables have too few conductors for that box
            if same and part.parent is not None and part.parent.is_strip:
                continue  # that is to split a chain
            made = fed_from(case, part, (box, free[0]), SAME_BOX if same else OTHER_BOX)
            if made is not None:
                yield made
