"""What a show needs of everything, with spare igniters."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Literal

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.model.kit import SplitterKind, StripKind
from bridgewire.report.sheets.cut_list import cut_list
from bridgewire.report.sheets.spares import enough_probability, spares_needed

Group = Literal["igniter", "cable", "strip", "splitter", "box", "connector"]


@frozen
class ShoppingRow:
    """One kind of thing.

    Attributes
    ----------
    group : str
        ``igniter``, ``cable``, ``strip``, ``splitter``, ``box`` or ``connector``.
    item, title : str
    batch : str
        Of igniters; empty where the show names none.
    unit : str
        ``pieces`` or ``m``.
    needed : float
    dud_rate : float or None
        Of igniters; None where not known.
    spares : int or None
        Of igniters; None where they cannot be computed.
    chance : float or None
        That so many are enough.
    note : str
    """

    group: Group
    item: str
    title: str
    batch: str
    unit: str
    needed: float
    dud_rate: float | None = None
    spares: int | None = None
    chance: float | None = None
    note: str = ""


def shopping_list(
    layout: Layout, *, dud_rates: Mapping[str, float], confidence: float
) -> tuple[ShoppingRow, ...]:
    """Count what a show needs, and the spare igniters for a stated confidence.

    Parameters
    ----------
    layout : Layout
    dud_rates : mapping of str to float
        Share of duds by full id of the igniter class; ``*`` stands for all others. A class
        without one gets no spares, and the list says so.
    confidence : float
        Probability, for each class and batch by itself, that enough igniters are good.

    Raises
    ------
    ValueError
        For a share or confidence out of range.
    """
    return (
        *_igniters(layout, dud_rates, confidence),
        *_cables(layout),
        *_parts(layout),
        *_connectors(layout),
    )


def _igniters(
    layout: Layout, dud_rates: Mapping[str, float], confidence: float
) -> list[ShoppingRow]:
    needed: Counter[tuple[str, str]] = Counter()
    titles: dict[str, str] = {}
    for placed in layout.igniters:
        needed[(placed.class_id, placed.igniter.batch or "")] += placed.igniter.count
        titles[placed.class_id] = placed.klass.title
    rows: list[ShoppingRow] = []
    for (klass, batch), n in sorted(needed.items()):
        rate = dud_rates.get(klass, dud_rates.get("*"))
        spares = chance = None
        note = "spares cannot be computed: the share of duds is not known"
        if rate is not None:
            spares = spares_needed(n, rate, confidence)
            chance = enough_probability(n, spares, rate)
            note = ""
        rows.append(
            ShoppingRow(
                "igniter", klass, titles[klass], batch, "pieces", n, rate, spares, chance, note
            )
        )
    return rows


def _cables(layout: Layout) -> list[ShoppingRow]:
    metres: dict[str, float] = {}
    pieces: Counter[str] = Counter()
    unknown: Counter[str] = Counter()
    for piece in cut_list(layout):
        pieces[piece.cable] += 1
        metres[piece.cable] = metres.get(piece.cable, 0.0) + (piece.cut_m or 0.0)
        unknown[piece.cable] += piece.cut_m is None
    rows: list[ShoppingRow] = []
    for cable, total in sorted(metres.items()):
        spec = layout.catalogue.cables.get(cable)
        note = f"{pieces[cable]} pieces" if pieces[cable] != 1 else "1 piece"
        if unknown[cable]:
            note += f", {unknown[cable]} of unknown length NOT counted"
        title = "" if spec is None else spec.title
        rows.append(ShoppingRow("cable", cable, title, "", "m", total, note=note))
    return rows


def _parts(layout: Layout) -> list[ShoppingRow]:
    found: Counter[tuple[Group, str, str]] = Counter()
    for part in layout.parts.values():
        group: Group = "strip" if part.is_strip else "splitter"
        found[(group, part.kind_id, part.kind.title)] += 1
    for _, kind, kind_id in layout.boxes.values():
        found[("box", kind_id, kind.title)] += 1
    return [
        ShoppingRow(group, item, title, "", "pieces", n)
        for (group, item, title), n in sorted(found.items())
    ]


def _connectors(layout: Layout) -> list[ShoppingRow]:
    """Cable ends by the contact that they mate with, and inline couplers."""
    ends: Counter[str] = Counter()
    couplers: Counter[str] = Counter()
    for run in layout.show.run:
        name = run.from_.partition("/")[0]
        if name in layout.boxes:
            _, kind, kind_id = layout.boxes[name]
            start = layout.catalogue.contact_of(kind_id, kind.output_contact)[0]
        else:
            part = layout.parts[name]
            out = (
                part.kind.outlet_contact
                if isinstance(part.kind, SplitterKind)
                else part.kind.through_contact
            )
            start = layout.catalogue.contact_of(part.kind_id, out)[0]
        target = layout.parts[run.to]
        assert isinstance(target.kind, (SplitterKind, StripKind))
        end = layout.catalogue.contact_of(target.kind_id, target.kind.inlet_contact)[0]
        ends[start] += run.parallel
        ends[end] += run.parallel
        if run.joints:
            joint = run.joint_contact or ""
            full = layout.catalogue.contacts.full_id(joint) or joint
            ends[full] += 2 * run.joints * run.parallel
            couplers[full] += run.joints * run.parallel
    rows = [
        ShoppingRow("connector", *_contact(layout, c), "", "pieces", n, note="on cable ends")
        for c, n in sorted(ends.items())
    ]
    rows += [
        ShoppingRow("connector", *_contact(layout, c), "", "pieces", n, note="inline couplers")
        for c, n in sorted(couplers.items())
    ]
    return rows


def _contact(layout: Layout, full: str) -> tuple[str, str]:
    contact = layout.catalogue.contacts.get(full) if full else None
    return full or "contact not stated in the kit", "" if contact is None else contact.title
