"""Igniters of another class of the show's kits."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Set
from bridgewire.remedies.wiring import placed_of

KIND = "other-class"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose each class of the kits for all igniters that the cue means to light."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    placed = placed_of(layout, outcome)
    if outcome.way is None or not placed:
        return
    present = {p.class_id for p in placed}
    for kit_id, kit in case.catalogue.kits.items():
        for klass in kit.igniter_class:
            full_id = f"{kit_id}:{klass.id}"
            if present == {full_id}:
                continue
            changed = [p for p in placed if p.class_id != full_id]
            number = sum(p.igniter.count for p in changed)
            yield Change(
                KIND,
                f"use {number} igniter{'s' if number > 1 else ''} of class {full_id!r} for cue "
                f"{cue_id!r}",
                tuple(Set(("igniter", p.index, "class"), full_id) for p in changed),
                frozenset((outcome.way[0],)),
                Effort((Item("igniter_class", full_id, number),)),
            )
