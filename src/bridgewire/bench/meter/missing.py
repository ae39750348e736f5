"""Values without which the resistance of a circuit cannot be told."""

from __future__ import annotations

from bridgewire.bench.meter.probe import BOX
from bridgewire.bench.meter.probe_mesh import is_mesh
from bridgewire.circuit.elements import Missing
from bridgewire.circuit.layout import Part, WayKey
from bridgewire.circuit.mesh import ways_involved
from bridgewire.circuit.ways import CircuitBuilder


def missing_from(builder: CircuitBuilder, key: WayKey, place: str) -> tuple[Missing, ...]:
    """Values without which the resistance of a way from a place cannot be told."""
    layout = builder.layout
    keys = ways_involved(layout, (key,)) if is_mesh(builder, key) else (key,)
    found: dict[Missing, None] = {}
    for k in keys:
        upstream = set() if place == BOX else _upstream(builder, k, place)
        for m in builder.way(k).missing:
            if m.noun == "igniter class" and m.key not in ("bridge_ohm", "lead_ohm"):
                continue
            if m.key != "switch_ohm" and m not in upstream:
                found[m] = None
    return tuple(found)


def _upstream(builder: CircuitBuilder, key: WayKey, place: str) -> set[Missing]:
    """What is missing only from parts of a way that are not beyond a strip."""
    layout = builder.layout
    _, kind, kind_id = layout.boxes[key[0]]
    before: set[Missing] = set()
    after: set[Missing] = set()
    for node in builder.way(key).nodes[1:]:
        part = layout.parts[node.part]
        lacks = builder.branch(part, kind, kind_id).missing
        (after if _is_beyond(part, place) else before).update(lacks)
    return before - after


def _is_beyond(part: Part, strip: str) -> bool:
    up = part.parent
    while up is not None:
        if up.id == strip:
            return True
        up = up.parent
    return False
