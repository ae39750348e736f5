"""A fuller or a warmer battery."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.model.kit import BatterySupply
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change
from bridgewire.remedies.edits import Edit, Remove, Set
from bridgewire.remedies.plain import plain_value

FULLER = "fuller-battery"
WARMER = "warmer-battery"
WARM_C = {"min": 10, "typical": 15, "max": 20}
"""Of a box that is kept warm until the show."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose a fully charged battery, a warm one, and both."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    box_id = outcome.way[0]
    index, kind, _ = layout.boxes[box_id]
    box, supply = layout.show.box[index], kind.supply
    if not isinstance(supply, BatterySupply):
        return
    boxes = frozenset((box_id,))
    full: list[Edit] = []
    if supply.open_circuit_V is not None and (
        box.supply_V is None or box.supply_V.min < supply.open_circuit_V.min
    ):
        full.append(Set(("box", index, "supply_V"), plain_value(supply.open_circuit_V)))
        if box.charge_pct is not None:
            full.append(Remove(("box", index, "charge_pct")))
        yield Change(
            FULLER,
            f"charge the battery of {box_id!r} fully: its meter must read at least "
            f"{supply.open_circuit_V.min:g} V without load",
            tuple(full),
            boxes,
            recipe="full",
        )
    stated = box.ambient_C or layout.show.site.ambient_C
    if stated is not None and stated.min < WARM_C["min"] and supply.cold_curve:
        warm = Set(("box", index, "ambient_C"), WARM_C)
        words = f"keep the battery of {box_id!r} at {WARM_C['min']} °C or above"
        yield Change(WARMER, words, (warm,), boxes, recipe="warm")
        if full:
            both = f"{words}, and charge it fully"
            yield Change(WARMER, both, (*full, warm), boxes, recipe="full and warm")
