"""Kit entries that trials have changed, and kits of which some entries are as they were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import evolve, fields, frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout
from bridgewire.model.band import Band
from bridgewire.model.kit import Kit
from bridgewire.model.show import Show

TABLES = ("box", "cable", "contact", "strip", "splitter", "igniter_class")


@frozen
class ChangedValue:
    """One value of a kit entry before and after."""

    key: str
    before: Band | float | None
    after: Band | float | None


@frozen
class ChangedEntry:
    """A kit entry that trials have changed.

    Attributes
    ----------
    table, id : str
        As in ``[[cable]]``, and its id.
    values : tuple of ChangedValue
    """

    table: str
    id: str
    values: tuple[ChangedValue, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of its values that changed."""
        return tuple(v.key for v in self.values)


def show_with_kit(show: Show, kit: Kit) -> Show:
    """A show that takes its parts from one kit first, whatever it wrote before.

    Parameters
    ----------
    show : Show
    kit : Kit
        That trials have taught.

    Returns
    -------
    Show
        Kits that it extends are left out, as all that is in them is in it; references ``other:id``
        to them become references to it.
    """

    def moved(ref: str, table: str) -> str:
        name, _, ident = ref.rpartition(":")
        there = any(e.id == ident for e in getattr(kit, table))
        return f"{kit.id}:{ident}" if name in kit.extends and there else ref

    return evolve(
        show,
        kits=(kit.id, *(k for k in show.kits if k != kit.id and k not in kit.extends)),
        box=tuple(evolve(b, kind=moved(b.kind, "box")) for b in show.box),
        strip=tuple(evolve(s, kind=moved(s.kind, "strip")) for s in show.strip),
        splitter=tuple(evolve(s, kind=moved(s.kind, "splitter")) for s in show.splitter),
        drum=tuple(evolve(d, cable=moved(d.cable, "cable")) for d in show.drum),
        run=tuple(
            evolve(
                r,
                cable=moved(r.cable, "cable"),
                joint_contact=None
                if r.joint_contact is None
                else moved(r.joint_contact, "contact"),
            )
            for r in show.run
        ),
        igniter=tuple(
            evolve(
                i,
                class_=moved(i.class_, "igniter_class"),
                lead_cable=None if i.lead_cable is None else moved(i.lead_cable, "cable"),
            )
            for i in show.igniter
        ),
    )


def changed_entries(before: Layout, kit: Kit) -> tuple[ChangedEntry, ...]:
    """Entries of a kit that are not what the show used before, of those that it uses.

    Parameters
    ----------
    before : Layout
        The show with the kit as it was.
    kit : Kit
        That trials have taught.

    Returns
    -------
    tuple of ChangedEntry
    """
    used = _used(before)
    found: list[ChangedEntry] = []
    for table in TABLES:
        for entry in getattr(kit, table):
            if table != "contact" and entry.id not in used[table]:
                continue
            old = _old_entry(before.catalogue, table, entry.id)
            if old is None:
                continue
            values = tuple(_values(old, entry))
            if values:
                found.append(ChangedEntry(table, entry.id, values))
    return tuple(found)


def _used(layout: Layout) -> Mapping[str, set[str]]:
    show = layout.show

    def bare(full: str) -> str:
        return full.split(":", 1)[-1]

    parts = layout.parts.values()
    leads = [i.lead_cable for i in show.igniter if i.lead_cable is not None]
    return {
        "box": {bare(kind) for _, _, kind in layout.boxes.values()},
        "cable": {c.id for c in layout.run_cables} | {bare(c) for c in leads},
        "strip": {bare(p.kind_id) for p in parts if p.is_strip},
        "splitter": {bare(p.kind_id) for p in parts if not p.is_strip},
        "igniter_class": {bare(p.class_id) for p in layout.igniters},
    }


_CATALOGUE = {
    "box": "boxes",
    "cable": "cables",
    "contact": "contacts",
    "strip": "strips",
    "splitter": "splitters",
    "igniter_class": "igniters",
}
_NO_VALUE = ("id", "title", "extends", "sources")


def _old_entry(catalogue: Catalogue, table: str, ident: str) -> Any:
    return getattr(catalogue, _CATALOGUE[table]).get(ident)


def _values(old: Any, new: Any, prefix: str = "") -> list[ChangedValue]:
    found: list[ChangedValue] = []
    for f in fields(type(new)):
        if f.name in _NO_VALUE:
            continue
        a, b = getattr(old, f.name, None), getattr(new, f.name)
        if a == b:
            continue
        nested = hasattr(type(b), "__attrs_attrs__") and not isinstance(b, Band)
        if nested and type(a) is type(b):
            found += _values(a, b, f"{prefix}{f.name}.")
        else:
            found.append(ChangedValue(prefix + f.name, _number(a), _number(b)))
    return found


def _number(value: Any) -> Band | float | None:
    if isinstance(value, Band):
        return value
    return float(value) if isinstance(value, (int, float)) else None


def mixed_kit(kit: Kit, before: Catalogue, as_before: Sequence[ChangedEntry]) -> Kit:
    """A kit of which some entries are as they were.

    Parameters
    ----------
    kit : Kit
        That trials have taught.
    before : Catalogue
        Of the show with the kit as it was.
    as_before : sequence of ChangedEntry
    """
    tables: dict[str, Any] = {}
    names = {(e.table, e.id) for e in as_before}
    for table in TABLES:
        tables[table] = tuple(
            _old_entry(before, table, entry.id) if (table, entry.id) in names else entry
            for entry in getattr(kit, table)
        )
    return evolve(kit, **tables)
