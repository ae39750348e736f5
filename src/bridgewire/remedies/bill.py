"""What a show is made of, and what one version of it has more than another."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from attrs import evolve

from bridgewire.circuit.layout import Layout
from bridgewire.remedies.change import Effort, Item

_LEAST = 1e-6


def bill(layout: Layout) -> Mapping[tuple[str, str], float]:
    """Pieces, and metres of cable, by table and full id.

    Parameters
    ----------
    layout : Layout

    Returns
    -------
    mapping
        Cable of runs and extra leads at typical lengths; a run of unknown length has none.
    """
    found: dict[tuple[str, str], float] = defaultdict(float)
    catalogue, show = layout.catalogue, layout.show
    for run, length in zip(show.run, layout.run_lengths, strict=True):
        if length is not None:
            full_id = catalogue.cables.full_id(run.cable) or run.cable
            found["cable", full_id] += length.typical * run.parallel
    for p in layout.igniters:
        found["igniter_class", p.class_id] += p.igniter.count
        lead, cable = p.igniter.extra_lead_m, p.igniter.lead_cable
        if lead is not None and cable is not None:
            full_id = catalogue.cables.full_id(cable) or cable
            found["cable", full_id] += lead.typical * p.igniter.count
    for part in layout.parts.values():
        found["strip" if part.is_strip else "splitter", part.kind_id] += 1
    for _, _, kind_id in layout.boxes.values():
        found["box", kind_id] += 1
    return found


def difference(before: Layout, after: Layout, told: Effort) -> Effort:
    """What the wiring of one layout takes more than that of another.

    Parameters
    ----------
    before, after : Layout
        Of the whole show.
    told : Effort
        Of the changes between them; what wiring does not show is taken from it: shifts, pulses,
        igniters that are rigged again, minutes.

    Returns
    -------
    Effort
    """
    then, now = bill(before), bill(after)
    keys = sorted({*then, *now})
    items = tuple(
        Item(*key, more)
        for key in keys
        if abs(more := now.get(key, 0.0) - then.get(key, 0.0)) > _LEAST
    )
    metres = sum(i.count for i in items if i.table == "cable")
    return evolve(
        told,
        items=items,
        metres=metres if abs(metres) > _LEAST else 0.0,
        outputs=_outputs(after) - _outputs(before),
        runs=_runs(after) - _runs(before),
        parts=_parts(after) - _parts(before),
    )


def _outputs(layout: Layout) -> int:
    return len({p.output for p in layout.parts.values() if p.output is not None})


def _runs(layout: Layout) -> int:
    return sum(run.parallel for run in layout.show.run)


def _parts(layout: Layout) -> int:
    return len(layout.parts) + len(layout.boxes)
