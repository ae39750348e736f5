"""The far part of a chain on an output of its own."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.circuit.layout import OutputKey, Part
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Append
from bridgewire.remedies.rewire import to_output
from bridgewire.remedies.wiring import (
    below,
    chains,
    distance_m,
    free_outputs,
    laid_m,
    length_to,
    more_cable,
    parts_of,
    typical_m,
)

KIND = "split-chain"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose to cut each chain behind each of its strips."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    box = outcome.way[0]
    free = free_outputs(layout, box)
    if not free:
        return
    for chain in chains(parts_of(layout, outcome)):
        for part in chain[1:]:
            made = fed_from(case, part, (box, free[0]), KIND)
            if made is not None:
                yield made


def fed_from(case: Case, part: Part, output: OutputKey, kind: str) -> Change | None:
    """The change that feeds a part from an output with nothing on it; None where that fails.

    The run is as long as the distance with the site's slack, or where coordinates are missing
    as the way over the present cable.
    """
    layout = case.as_written.layout
    if part.run is None or part.output is None:
        return None
    straight = distance_m(layout, output[0], part.id)
    metres = laid_m(layout, straight) if straight is not None else None
    if metres is None and output[0] == part.output[0]:
        metres = length_to(layout, part)
    before = typical_m(layout, part.run)
    if metres is None or before is None:
        return None
    most = layout.boxes[output[0]][1].max_strips
    if most is not None and sum(p.is_strip for p in below(layout, part)) > most:
        return None
    if metres > (layout.run_cables[part.run].max_length_m or math.inf):
        return None
    made = to_output(layout, part, output, metres)
    if made is None:
        return None
    edits, twins = made
    more = more_cable(layout, part.run, metres - before)
    # An output that nothing hangs on any more is free again.
    freed = {p.output for p in layout.parts.values()} - {
        p.output for p in layout.parts.values() if p not in below(layout, part)
    }
    outputs = 1 - len(freed & {part.output})
    words = f"feed {part.id!r} by a run of {metres:.4g} m from {output[0]}/{output[1]}"
    if twins:
        words += f", with {twins} cue{'s' if twins > 1 else ''} more at the same time"
    return Change(
        kind,
        words,
        edits,
        frozenset((output[0], part.output[0])),
        Effort((more,), metres=more.count, outputs=outputs),
        adds=tuple(
            str(e.item["id"]) for e in edits if isinstance(e, Append) and e.path == ("cue",)
        ),
    )
