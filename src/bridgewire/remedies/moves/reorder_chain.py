"""The strips of a chain in another order."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.circuit.layout import Part
from bridgewire.circuit.places import part_name
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Edit, Set
from bridgewire.remedies.wiring import chains, distance_m, laid_m, more_cable, parts_of, typical_m

KIND = "reorder-chain"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose to put each strip of a chain first, and to turn the chain round."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    for chain in chains(parts_of(layout, outcome)):
        orders = [[part, *(p for p in chain if p is not part)] for part in chain[1:]]
        if len(chain) > 2:
            orders.append(chain[::-1])
        for order in orders:
            made = _change(case, chain, order, outcome.way[0])
            if made is not None:
                yield made


def _change(case: Case, chain: list[Part], order: list[Part], box: str) -> Change | None:
    layout = case.as_written.layout
    # What hangs beside the chain on one of its strips would have to move as well.
    hanging = [p for p in layout.parts.values() if p.parent in chain and p not in chain]
    if hanging or chain[0].run is None:
        return None
    start = layout.show.run[chain[0].run].from_
    edits: list[Edit] = []
    cables: dict[str, float] = {}
    before: str = part_name(start)
    for slot, part in zip(chain, order, strict=True):
        assert slot.run is not None
        straight, now = distance_m(layout, before, part.id), typical_m(layout, slot.run)
        if straight is None or now is None:
            return None
        metres = laid_m(layout, straight)
        edits.append(Set(("run", slot.run, "to"), part.id))
        if slot is not chain[0]:
            edits.append(Set(("run", slot.run, "from"), before))
        edits.append(Set(("run", slot.run, "length_m"), metres))
        extra = more_cable(layout, slot.run, metres - now)
        cables[extra.full_id] = cables.get(extra.full_id, 0.0) + extra.count
        before = part.id
    names = " - ".join(repr(p.id) for p in order)
    return Change(
        KIND,
        f"chain the strips in the order {names}",
        tuple(edits),
        frozenset((box,)),
        Effort(
            tuple(Item("cable", c, m) for c, m in cables.items() if m),
            metres=math.fsum(cables.values()),
        ),
    )
