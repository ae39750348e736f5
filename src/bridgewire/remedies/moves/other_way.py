"""Some of a cue's igniters on a free way, fired by a cue of their own just after."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.layout import PlacedIgniter
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Append, Edit, Set
from bridgewire.remedies.plain import plain_item
from bridgewire.remedies.wiring import free_ways, fresh, placed_of

KIND = "other-way"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose to take the igniters that do not light, and the farther half, to a free way."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    placed = placed_of(layout, outcome)
    if outcome.way is None or outcome.pulse_s is None or len(placed) < 2:
        return
    if case.show.cue[outcome.cue].together:
        return  # not one after the other
    strips = {p.part.id: p.part for p in placed}
    free = set.intersection(*(set(free_ways(layout, s)) for s in strips.values()))
    if not free:
        return
    way = min(free)
    late = {i.igniter for i in outcome.meant if i.verdict.value != "sure"}
    by_depth = sorted(placed, key=lambda p: (p.part.depth, p.index))
    half = by_depth[(len(by_depth) + 1) // 2 :]
    groups: list[list[PlacedIgniter]] = [[p for p in placed if p.index in late], half]
    tried: list[set[int]] = []
    for group in groups:
        chosen = {p.index for p in group}
        if not 0 < len(chosen) < len(placed) or chosen in tried:
            continue
        tried.append(chosen)
        yield _change(case, cue_id, group, way)


def _change(case: Case, cue_id: str, group: list[PlacedIgniter], way: int) -> Change:
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    assert outcome.way is not None
    stated = case.show.cue[outcome.cue]
    hold_off = layout.boxes[outcome.way[0]][1].hold_off
    busy = hold_off is not None and hold_off.scope != "way"
    pause = (hold_off.time_s if hold_off is not None and busy else 0.0) + (outcome.pulse_s or 0.0)
    pause = round(pause, 6)
    twin = plain_item(stated)
    for key in ("box", "output", "way", "target", "lights"):
        twin.pop(key, None)
    name = fresh(layout, f"{cue_id}, way {way}")
    twin["id"], twin["fire"] = name, f"{outcome.way[0]}/{outcome.way[1]}/{way}"
    for key in ("time_s", "effect_at_s"):
        if key in twin:
            twin[key] = round(twin[key] + pause, 6)
    ids = {layout.names[p.index] for p in group}
    edits: list[Edit] = [
        *(Set(("igniter", p.index, "at"), f"{p.part.id}/{way}") for p in group),
        *(Set(("igniter", p.index, "id"), layout.names[p.index]) for p in group),
        Append(("cue",), twin),
    ]
    if stated.lights is not None:
        edits.append(
            Set(("cue", outcome.cue, "lights"), [i for i in stated.lights if i not in ids])
        )
    them = "it" if len(ids) == 1 else "them"
    moved = ", ".join(repr(i) for i in sorted(ids))
    return Change(
        KIND,
        f"move {moved} to way {way} and fire {them} by a cue {name!r} {pause:g} s later",
        tuple(edits),
        frozenset((outcome.way[0],)),
        Effort(shift_s=pause),
        adds=(name,),
    )
