"""A bench of one battery box whose values can be changed before it is assessed."""

from __future__ import annotations

from typing import Any

from attrs import evolve

from bridgewire.circuit.layout import Layout
from bridgewire.model.kit import BatterySupply
from bridgewire.model.show import Cue, Igniter
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment
from tests.behaviours.bench import SLOW, bench

CAPACITY_AH = 8.0
"""Least capacity of the bench's battery, profiles/generic.toml."""
SHARE_AT_20 = 0.92
"""Of it at 20 °C, same place."""
STANDBY_A = 0.1


def one_box(
    *,
    count: int = 1,
    length_m: float = 10.0,
    pulse_s: float = 1.0,
    cues: int = 1,
    box: dict[str, Any] | None = None,
    kind: dict[str, Any] | None = None,
    supply: dict[str, Any] | None = None,
) -> Assessment:
    """Cues c1, c2 … a minute apart on ways 1, 2 …, each with `count` igniters in parallel."""
    entries = [
        Igniter(f"s/{n + 1}", SLOW, id=f"i{n + 1}", count=count, connection="parallel")
        if count > 1
        else Igniter(f"s/{n + 1}", SLOW, id=f"i{n + 1}")
        for n in range(cues)
    ]
    a = bench(
        ["s"],
        [("box/1", "s", length_m)],
        [
            Cue(f"c{n + 1}", fire=f"box/1/{n + 1}", time_s=60.0 * (n + 1), pulse_s=pulse_s)
            for n in range(cues)
        ],
        igniters=entries,
    )
    return assess(changed(a.layout, box or {}, kind or {}, supply or {}))


def changed(
    layout: Layout, box: dict[str, Any], kind: dict[str, Any], supply: dict[str, Any]
) -> Layout:
    """The layout with other values of its box, the box's kind and that kind's battery."""
    index, was, kind_id = layout.boxes["box"]
    assert isinstance(was.supply, BatterySupply)
    new = evolve(was, supply=evolve(was.supply, **supply), **kind)
    show = evolve(layout.show, box=(evolve(layout.show.box[0], **box),))
    return evolve(layout, show=show, boxes={"box": (index, new, kind_id)})
