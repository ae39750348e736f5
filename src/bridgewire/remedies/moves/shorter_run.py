"""Runs cut to what the distance needs."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.places import part_name
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Edit, Set
from bridgewire.remedies.wiring import (
    distance_m,
    laid_m,
    more_cable,
    parts_of,
    run_words,
    runs_to,
    typical_m,
)

KIND = "shorter-run"
WORTH_M = 0.5
"""Nobody cuts a cable for less."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose to shorten each run that is longer than its distance, and all of them."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    found: list[tuple[Edit, Item, str]] = []
    for run in runs_to(parts_of(layout, outcome)):
        stated = case.show.run[run]
        straight = distance_m(layout, part_name(stated.from_), stated.to)
        now = typical_m(layout, run)
        if straight is None or now is None or stated.length_m is None:
            continue
        least = laid_m(layout, straight)
        if now - least < WORTH_M:
            continue
        saved = more_cable(layout, run, least - now)
        words = f"cut {run_words(layout, run)} from {now:.4g} m to {least:.4g} m"
        found.append((Set(("run", run, "length_m"), least), saved, words))
    groups = [[f] for f in found] + ([found] if len(found) > 1 else [])
    for group in groups:
        yield Change(
            KIND,
            "; ".join(words for _, _, words in group),
            tuple(edit for edit, _, _ in group),
            frozenset((outcome.way[0],)),
            Effort(tuple(i for _, i, _ in group), metres=sum(i.count for _, i, _ in group)),
            recipe="all" if len(group) == len(found) else group[0][2],
        )
