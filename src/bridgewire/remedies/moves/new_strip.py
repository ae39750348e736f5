"""A strip more beside the present one, for one cue, on an output of its own."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.circuit.layout import OutputKey, Part
from bridgewire.model.kit import StripKind
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Append, Edit, Set
from bridgewire.remedies.rewire import fired_by, pulse_there
from bridgewire.remedies.wiring import (
    distance_m,
    free_outputs,
    fresh,
    laid_m,
    length_to,
    placed_of,
    same_place,
)
from bridgewire.units import seconds

KIND = "new-strip"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose a free output of each box, for a cue whose igniters share their strip with others."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    placed = placed_of(layout, outcome)
    strips = {p.part.id: p.part for p in placed}
    if outcome.way is None or len(strips) != 1:
        return
    (here,) = strips.values()
    others = [p for p in layout.igniters if p.part is here and p not in placed]
    if not others:
        return  # the strip itself can go to another output
    for box in layout.boxes:
        free = free_outputs(layout, box)
        made = _change(case, cue_id, here, (box, free[0])) if free else None
        if made is not None:
            yield made


def _change(case: Case, cue_id: str, here: Part, output: OutputKey) -> Change | None:
    layout = case.as_written.layout
    outcome = case.as_written.cues[cue_id]
    assert outcome.way is not None
    assert isinstance(here.kind, StripKind)
    box, number = output
    straight = distance_m(layout, box, here.id)
    metres = laid_m(layout, straight) if straight is not None else None
    if metres is None and box == outcome.way[0]:
        metres = length_to(layout, here)
    cable = None if metres is None else _cable(case, box, metres)
    if cable is None or metres is None:
        return None
    ways = min(here.kind.ways, layout.boxes[box][1].ways)
    way = next((w for w in (outcome.way[2], 1) if 1 <= w <= ways), None)
    if way is None:
        return None
    name = fresh(layout, f"{here.id} beside")
    stated = layout.show.strip[int(here.path[1])]
    strip = {"id": name, "kind": here.kind_id, **same_place(stated)}
    run = {"from": f"{box}/{number}", "to": name, "cable": cable, "length_m": metres}
    placed = placed_of(layout, outcome)
    edits: list[Edit] = [Append(("strip",), strip), Append(("run",), run)]
    for p in placed:
        edits.append(Set(("igniter", p.index, "at"), f"{name}/{way}"))
        edits.append(Set(("igniter", p.index, "id"), p.id))
    resolved = layout.cues[outcome.cue]
    fire = f"{box}/{number}/{way}"
    edits += fired_by(resolved, fire)
    pulse_words = ""
    if box != outcome.way[0]:
        pulse = pulse_there(layout, resolved, box)
        if pulse is None:
            return None
        edits.append(Set(("cue", outcome.cue, "pulse_s"), pulse))
        pulse_words = f" with a pulse of {seconds(pulse)}"
    names = ", ".join(repr(p.id) for p in placed)
    return Change(
        KIND,
        f"put a strip {here.kind_id!r} more beside {here.id!r}, feed it by {metres:.4g} m of "
        f"{cable!r} from {box}/{number}, and fire {names} there by {fire}{pulse_words}",
        tuple(edits),
        frozenset((outcome.way[0], box)),
        Effort(
            (Item("strip", here.kind_id, 1), Item("cable", cable, metres)),
            metres=metres,
            outputs=1,
            runs=1,
            parts=1,
        ),
        each=f"fire it on one strip {here.kind_id!r} more beside {here.id!r}, fed by "
        f"{metres:.4g} m of {cable!r} from {box}/{number}{pulse_words}",
    )


def _cable(case: Case, box: str, metres: float) -> str | None:
    """The cable of the show's runs with conductors enough for a box and of least resistance."""
    layout = case.as_written.layout
    kind = layout.boxes[box][1]
    needed = kind.path.conductors_needed(kind.ways)
    found = []
    for stated, spec in zip(layout.show.run, layout.run_cables, strict=True):
        ohm = cable_ohm_per_m(spec)
        full_id = case.catalogue.cables.full_id(stated.cable)
        long_enough = metres <= (spec.max_length_m or math.inf)
        if ohm is not None and full_id is not None and spec.conductors >= needed and long_enough:
            found.append((ohm.typical, full_id))
    return min(found)[1] if found else None
