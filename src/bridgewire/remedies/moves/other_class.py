"""Igniters of another class of the show's kits."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Set
from bridgewire.remedies.wiring import placed_of

KIND = "other-class"
_WORDS = {
    "electric-match": "an electric match",
    "bridge-igniter": "a bridge igniter",
    "clip-on-nichrome": "a clip-on nichrome igniter",
}


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose each class of the kits for all igniters that the cue means to light."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    placed = placed_of(layout, outcome)
    if outcome.way is None or not placed:
        return
    for kit_id, kit in case.catalogue.kits.items():
        for klass in kit.igniter_class:
            full_id = f"{kit_id}:{klass.id}"
            changed = [p for p in placed if p.class_id != full_id]
            if not changed:
                continue
            number = sum(p.igniter.count for p in changed)
            items = [Item("igniter_class", full_id, number)]
            items += [Item("igniter_class", p.class_id, -p.igniter.count) for p in changed]
            others = sorted({p.klass.kind for p in changed} - {klass.kind})
            caveat = ""
            if others:
                was = " or ".join(_WORDS[kind] for kind in others)
                caveat = (
                    f"{_WORDS[klass.kind]} in place of {was}: see that it can be fitted to the "
                    "article and lights it"
                )
            plural = "s" if number > 1 else ""
            yield Change(
                KIND,
                f"use {number} igniter{plural} of class {full_id!r} for cue {cue_id!r}",
                tuple(Set(("igniter", p.index, "class"), full_id) for p in changed),
                frozenset((outcome.way[0],)),
                Effort(tuple(items)),
                recipe=full_id,
                each=f"use igniters of class {full_id!r}",
                caveat=caveat,
            )
