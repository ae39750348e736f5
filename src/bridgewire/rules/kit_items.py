"""Entries of kit profiles that a show uses, with their places."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Generic, TypeVar

import attrs

from bridgewire.circuit.catalogue import Table
from bridgewire.diagnostics import DocPath
from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BoxKind,
    CableSpec,
    Contact,
    IgniterClass,
    SplitterKind,
    StripKind,
)
from bridgewire.rules.context import Context

Entry = TypeVar("Entry", BoxKind, CableSpec, Contact, IgniterClass, SplitterKind, StripKind)
AnyEntry = BoxKind | CableSpec | Contact | IgniterClass | SplitterKind | StripKind
T = TypeVar("T", covariant=True)

NOUNS = {
    "box": "box",
    "cable": "cable",
    "contact": "contact",
    "strip": "strip",
    "splitter": "splitter",
    "igniter_class": "igniter class",
}
"""Table of a kit profile -> what a person calls an entry of it."""

_NOT_VALUES = ("id", "title", "sources")


@attrs.frozen
class KitItem(Generic[T]):
    """One entry of a kit profile."""

    table: str
    full_id: str
    entry: T
    document: str
    path: DocPath

    @property
    def label(self) -> str:
        """What a person calls it: ``cable 'club:reel'``."""
        return f"{NOUNS[self.table]} {self.full_id!r}"

    def at(self, key: str) -> DocPath:
        """Path of a dotted key that the entry states."""
        return (*self.path, *key.split("."))

    def around(self, key: str) -> DocPath:
        """Path of the innermost table that a dotted key, itself absent, belongs to."""
        path = self.path
        inside: object = self.entry
        for step in key.split(".")[:-1]:
            inside = getattr(inside, step, None)
            if inside is None:
                break
            path = (*path, step)
        return path


def _used(context: Context, name: str, table: Table[Entry]) -> Iterator[KitItem[Entry]]:
    for full_id in sorted(context.used_kit_items[name]):
        entry = table.get(full_id)
        if entry is not None:
            yield KitItem(name, full_id, entry, *context.kit_place(name, full_id))


def used_boxes(context: Context) -> Iterator[KitItem[BoxKind]]:
    """Kinds of box that the show uses, by full id."""
    return _used(context, "box", context.catalogue.boxes)


def used_cables(context: Context) -> Iterator[KitItem[CableSpec]]:
    """Cable specs that the show uses, leads included, by full id."""
    return _used(context, "cable", context.catalogue.cables)


def used_contacts(context: Context) -> Iterator[KitItem[Contact]]:
    """Contacts that the show uses, by full id."""
    return _used(context, "contact", context.catalogue.contacts)


def used_strips(context: Context) -> Iterator[KitItem[StripKind]]:
    """Kinds of strip that the show uses, by full id."""
    return _used(context, "strip", context.catalogue.strips)


def used_splitters(context: Context) -> Iterator[KitItem[SplitterKind]]:
    """Kinds of splitter that the show uses, by full id."""
    return _used(context, "splitter", context.catalogue.splitters)


def used_classes(context: Context) -> Iterator[KitItem[IgniterClass]]:
    """Igniter classes that the show uses, by full id."""
    return _used(context, "igniter_class", context.catalogue.igniters)


def used_items(context: Context) -> Iterator[KitItem[AnyEntry]]:
    """Every kit entry that the show uses."""
    for group in (
        used_boxes(context),
        used_cables(context),
        used_contacts(context),
        used_strips(context),
        used_splitters(context),
        used_classes(context),
    ):
        yield from group


def stated_values(entry: attrs.AttrsInstance, prefix: str = "") -> Iterator[tuple[str, object]]:
    """Dotted key and value of every measurable thing that an entry states.

    Counts of parts (ways, conductors) and words (metal, what a bridge does after firing) are left
    out, and so are values that are the same as the model's default.

    >>> list(stated_values(Contact("plug", contact_ohm=Band.exact(0.02))))
    [('contact_ohm', Band(min=0.02, typical=0.02, max=0.02))]
    """
    for a in attrs.fields(type(entry)):
        value = getattr(entry, a.name)
        if a.name in _NOT_VALUES or value is None or value == a.default:
            continue
        if isinstance(value, Band | float) or (isinstance(value, tuple) and value):
            yield f"{prefix}{a.name}", value
        elif attrs.has(type(value)):
            yield from stated_values(value, f"{prefix}{a.name}.")


def contact_keys(item: KitItem[AnyEntry]) -> Iterator[tuple[str, str]]:
    """Keys of an entry that name a contact, with the reference."""
    for a in attrs.fields(type(item.entry)):
        if a.name.endswith("_contact"):
            ref = getattr(item.entry, a.name)
            if ref is not None:
                yield a.name, ref
