"""Kit entries that trials have changed, and kits of which some entries are as they were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import evolve, field, fields, frozen

from bridgewire.circuit.catalogue import Catalogue, Table
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
    old : entry of a kit
        What the show used before.
    """

    table: str
    id: str
    values: tuple[ChangedValue, ...]
    old: Any = field(default=None, eq=False, repr=False)

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
        return f"{kit.id}:{ident}" if name and _takes_over(kit, table, ref) else ref

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
    used = _taken_over(before, kit)
    found: list[ChangedEntry] = []
    for table in TABLES:
        for entry in getattr(kit, table):
            old = used.get((table, entry.id))
            values = () if old is None else tuple(_values(old, entry))
            if values:
                found.append(ChangedEntry(table, entry.id, values, old))
    return tuple(found)


def _takes_over(kit: Kit, table: str, ref: str) -> bool:
    """Whether a reference means an entry of this kit once the show has it as its first."""
    name, _, ident = ref.rpartition(":")
    return name in ("", *kit.extends) and any(e.id == ident for e in getattr(kit, table))


def _taken_over(before: Layout, kit: Kit) -> dict[tuple[str, str], Any]:
    """What the show used before in place of each entry of a kit, by table and id.

    Where references to several kits meet in one entry, the first of the show counts. A contact is
    mostly named by the parts of its own kit, so it is looked for in the kits that this one extends.
    """
    found: dict[tuple[str, str], Any] = {}
    for table, refs in _references(before.show).items():
        for ref in refs:
            old = _entries(before.catalogue, table).get(ref)
            if old is not None and _takes_over(kit, table, ref):
                found.setdefault((table, old.id), old)
    contacts = before.catalogue.contacts
    for contact in kit.contact:
        places = [*(f"{name}:{contact.id}" for name in kit.extends), contact.id]
        old = next(filter(None, map(contacts.get, places)), None)
        if old is not None:
            found["contact", contact.id] = old
    return found


def _references(show: Show) -> Mapping[str, list[str]]:
    """References to kit entries as the show writes them, by table; contacts are left out."""
    leads = [i.lead_cable for i in show.igniter if i.lead_cable is not None]
    return {
        "box": [b.kind for b in show.box],
        "cable": [*(r.cable for r in show.run), *leads],
        "strip": [s.kind for s in show.strip],
        "splitter": [s.kind for s in show.splitter],
        "igniter_class": [i.class_ for i in show.igniter],
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


def _entries(catalogue: Catalogue, table: str) -> Table[Any]:
    entries: Table[Any] = getattr(catalogue, _CATALOGUE[table])
    return entries


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


def mixed_kit(kit: Kit, as_before: Sequence[ChangedEntry]) -> Kit:
    """A kit of which some entries are as they were.

    Parameters
    ----------
    kit : Kit
        That trials have taught.
    as_before : sequence of ChangedEntry
        As from `changed_entries`.
    """
    old = {(e.table, e.id): e.old for e in as_before}
    tables: dict[str, Any] = {
        table: tuple(old.get((table, entry.id), entry) for entry in getattr(kit, table))
        for table in TABLES
    }
    return evolve(kit, **tables)
