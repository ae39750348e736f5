"""A second cable beside the first, joined at both ends."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Set
from bridgewire.remedies.wiring import cable_id, parts_of, run_words, runs_to, typical_m

KIND = "parallel-runs"
MOST = 3
"""Cables side by side."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose one cable more for each run to the cue's igniters, and for all of them."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    runs = [r for r in runs_to(parts_of(layout, outcome)) if case.show.run[r].parallel < MOST]
    for group in [*([r] for r in runs), *([runs] if len(runs) > 1 else [])]:
        lengths = [typical_m(layout, r) for r in group]
        if any(m is None for m in lengths):
            continue
        items = [
            Item("cable", cable_id(layout, run), metres or 0.0)
            for run, metres in zip(group, lengths, strict=True)
        ]
        what = (
            run_words(layout, group[0])
            if len(group) == 1
            else f"each of the {len(group)} runs to the igniters of cue {cue_id!r}"
        )
        yield Change(
            KIND,
            f"lay one more cable beside {what}, joined at both ends",
            tuple(Set(("run", r, "parallel"), case.show.run[r].parallel + 1) for r in group),
            frozenset((outcome.way[0],)),
            Effort(tuple(items), metres=math.fsum(i.count for i in items), runs=len(group)),
            recipe="all" if len(group) > 1 or len(runs) == 1 else str(runs.index(group[0])),
        )
