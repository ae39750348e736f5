"""A cue's igniters on the terminal of another strip nearby, on another output or box."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence

from bridgewire.circuit.layout import Part, PlacedIgniter
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Edit, Set
from bridgewire.remedies.rewire import fired_by, pulse_there
from bridgewire.remedies.wiring import distance_m, free_ways, laid_m, placed_of
from bridgewire.units import seconds

KIND = "other-strip"
FARTHEST_M = 30.0
"""Nobody lays longer leads to single igniters."""
NEAR_M = 2.0
"""Within this the igniter's own leads reach."""
TRIED = 4
"""How many strips are proposed, the nearest first."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose a free way on the nearest strips of other outputs, for a cue on one strip."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    placed = placed_of(layout, outcome)
    own = {p.part.id for p in placed}
    if outcome.way is None or len(own) != 1:
        return
    here = placed[0].part
    found: list[tuple[float, str, Part]] = []
    for part in layout.parts.values():
        if not part.is_strip or part.output is None or part.output == here.output:
            continue
        metres = distance_m(layout, here.id, part.id)
        if metres is not None and metres <= FARTHEST_M:
            found.append((metres, part.id, part))
    counts: dict[str, int] = defaultdict(int)
    for metres, _, part in sorted(found, key=lambda f: f[:2]):
        assert part.output is not None
        counts[part.output[0]] += 1
        ways = free_ways(layout, part)
        if not ways or counts[part.output[0]] > TRIED // 2:
            continue
        made = _change(case, cue_id, placed, part, ways[0], metres)
        if made is not None:
            yield made


def _change(
    case: Case, cue_id: str, placed: Sequence[PlacedIgniter], part: Part, way: int, metres: float
) -> Change | None:
    layout = case.as_written.layout
    outcome = case.as_written.cues[cue_id]
    assert outcome.way is not None
    assert part.output is not None
    edits: list[Edit] = []
    items: list[Item] = []
    more = 0.0
    cable = ""
    for p in placed:
        edits.append(Set(("igniter", p.index, "at"), f"{part.id}/{way}"))
        edits.append(Set(("igniter", p.index, "id"), p.id))
        if metres <= NEAR_M:
            continue
        before = p.igniter.extra_lead_m
        lead = laid_m(layout, metres) + (0.0 if before is None else before.typical)
        found = _lead(case, p, lead)
        if found is None:
            return None
        cable = found
        edits.append(Set(("igniter", p.index, "lead_cable"), cable))
        edits.append(Set(("igniter", p.index, "extra_lead_m"), round(lead, 3)))
        each = lead * p.igniter.count
        items.append(Item("cable", cable, each))
        more += each
    resolved = layout.cues[outcome.cue]
    box, output = part.output
    fire = fire_words = f"{box}/{output}/{way}"
    edits += fired_by(resolved, fire)
    if box != outcome.way[0]:
        pulse = pulse_there(layout, resolved, box)
        if pulse is None:
            return None
        edits.append(Set(("cue", outcome.cue, "pulse_s"), pulse))
        fire_words = f"{fire} with a pulse of {seconds(pulse)}"
    names = ", ".join(repr(p.id) for p in placed)
    leads = f", with leads of {cable!r}, {laid_m(layout, metres):.4g} m more" if cable else ""
    return Change(
        KIND,
        f"put {names} on {part.id}/{way} and fire cue {cue_id!r} there, by {fire_words}{leads}",
        tuple(edits),
        frozenset((outcome.way[0], box)),
        Effort(tuple(items), metres=more),
    )


def _lead(case: Case, placed: PlacedIgniter, metres: float) -> str | None:
    """The lead cable that the igniter has, or the lightest two-conductor cable long enough."""
    if placed.igniter.lead_cable is not None:
        return case.catalogue.cables.full_id(placed.igniter.lead_cable)
    found = []
    for kit_id, kit in case.catalogue.kits.items():
        for spec in kit.cable:
            ohm = cable_ohm_per_m(spec)
            longest = math.inf if spec.max_length_m is None else spec.max_length_m
            if spec.conductors == 2 and ohm is not None and longest >= metres:
                found.append((-ohm.typical, f"{kit_id}:{spec.id}"))
    return min(found)[1] if found else None
