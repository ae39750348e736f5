"""What trials about some igniters can be made with: their box, classes, cables, parts, voltages."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout, Part, PlacedIgniter
from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply, BoxKind, CapacitorSupply

LOWER_BY_V = 0.5
"""A battery that has run low is tried only if its voltage is lower by more than this."""


@frozen
class Means:
    """What trials can be made with. All names are full ids.

    Attributes
    ----------
    box : str
        A kind of box.
    classes, cables, splitters : tuple of str
    strip : str
    volts : tuple of float
        Voltages that the supply can have.
    pulses_s : tuple of float
        That are asked about.
    lacking : tuple of str
        What the kits do not say, and what is left out for it.
    """

    box: str
    classes: tuple[str, ...]
    cables: tuple[str, ...]
    strip: str
    splitters: tuple[str, ...] = ()
    volts: tuple[float, ...] = ()
    pulses_s: tuple[float, ...] = ()
    lacking: tuple[str, ...] = ()


def means_of(
    layout: Layout,
    box: str,
    igniters: Sequence[int],
    pulses_s: Sequence[float],
    known: Catalogue,
    further_cables: Sequence[str] = (),
    volts: Sequence[float] = (),
) -> Means:
    """What trials about some igniters can be made with.

    Parameters
    ----------
    layout : Layout
        Of the show, or of a trial.
    box : str
        Id in it of the box that fires them.
    igniters : sequence of int
        Their indexes.
    pulses_s : sequence of float
    known : Catalogue
        Of the record's kits: only what is in it can be used.
    further_cables : sequence of str
        Full ids of cables that trials have used.
    volts : sequence of float
        Voltages that were read, if any.

    Returns
    -------
    Means
    """
    lacking: list[str] = []
    placed = [p for p in layout.igniters if p.index in set(igniters)]
    kind = layout.boxes[box][2]
    classes = tuple(dict.fromkeys(p.class_id for p in placed))
    cables, strips, splitters = _parts_to(layout, placed)
    cables.update(dict.fromkeys(further_cables))

    def usable(table: str, names: Sequence[str]) -> tuple[str, ...]:
        kept = []
        for name in names:
            if getattr(known, table).get(name) is None:
                lacking.append(f"{name} is in no kit of the record, so it is in no candidate")
            else:
                kept.append(name)
        return tuple(kept)

    index, box_kind, _ = layout.boxes[box]
    stated = layout.show.box[index].supply_V
    return Means(
        kind,
        usable("igniters", classes),
        usable("cables", tuple(cables)),
        next(iter(strips)),
        usable("splitters", tuple(splitters)),
        _volts(box_kind, stated, volts, lacking),
        tuple(pulses_s),
        tuple(lacking),
    )


def _parts_to(
    layout: Layout, placed: Sequence[PlacedIgniter]
) -> tuple[dict[str, None], dict[str, None], dict[str, None]]:
    """Full ids of the cables, strips and splitters between igniters and box, each once."""
    cables: dict[str, None] = {}
    strips: dict[str, None] = {}
    splitters: dict[str, None] = {}
    for p in placed:
        part: Part | None = p.part
        while part is not None:
            if part.run is not None:
                full = layout.catalogue.cables.full_id(layout.show.run[part.run].cable)
                if full is not None:
                    cables[full] = None
            (strips if part.is_strip else splitters)[part.kind_id] = None
            part = part.parent
    return cables, strips, splitters


def _volts(
    kind: BoxKind, stated: Band | None, read: Sequence[float], lacking: list[str]
) -> tuple[float, ...]:
    """The usual voltage, and that of a battery that has run low."""
    supply = kind.supply
    usual = None
    if read:
        usual = float(np.median(np.asarray(read)))
    elif stated is not None:
        usual = stated.typical
    else:
        full = supply.charged_V if isinstance(supply, CapacitorSupply) else supply.open_circuit_V
        usual = None if full is None else full.typical
    if usual is None:
        return ()
    if not isinstance(supply, BatterySupply):
        return (round(usual, 2),)
    if not supply.charge_curve:
        lacking.append(f"{kind.id} states no charge_curve: only its usual voltage is tried")
        return (round(usual, 2),)
    if kind.min_supply_V is None:
        lacking.append(f"{kind.id} states no min_supply_V: only its usual voltage is tried")
        return (round(usual, 2),)
    low = min(p.open_circuit_V for p in supply.charge_curve)
    low = max(low, kind.min_supply_V)
    return (round(usual, 2), round(low, 2)) if low < usual - LOWER_BY_V else (round(usual, 2),)
