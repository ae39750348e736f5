"""A kit profile as read, before it is merged with what it extends: its entries by table and id."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import define, field, frozen

from bridgewire.diagnostics import DocPath
from bridgewire.documents.fields import entry_tables
from bridgewire.documents.opened import Opened
from bridgewire.kits.overlay import Origin
from bridgewire.model.kit import Kit

TABLES: Mapping[str, type] = entry_tables(Kit)
"""Key of a list of entries -> class of an entry."""


@frozen
class Node:
    """One entry as one profile writes it."""

    kit_id: str
    table: str
    index: int

    @property
    def path(self) -> DocPath:
        """Path in the profile."""
        return (self.table, self.index)


@define
class Source:
    """A profile as read, before anything is merged."""

    kit_id: str
    opened: Opened
    data: dict[str, Any]
    entries: dict[tuple[str, str], Node] = field(factory=dict)
    """Table and id -> the first such entry."""

    @classmethod
    def of(cls, kit_id: str, opened: Opened, data: dict[str, Any]) -> Source:
        """Index the entries of a profile."""
        source = cls(kit_id, opened, data)
        for table in TABLES:
            for index, entry in enumerate(source.listed(table)):
                named = entry.get("id") if isinstance(entry, dict) else None
                if isinstance(named, str):
                    source.entries.setdefault((table, named), Node(kit_id, table, index))
        return source

    @property
    def origin(self) -> Origin:
        """What merged values remember."""
        return Origin(self.kit_id, self.opened.file, self.opened.spans)

    def listed(self, table: str) -> list[Any]:
        """The entries of a table; empty where it is no array."""
        found = self.data.get(table)
        return found if isinstance(found, list) else []

    def bases(self) -> list[tuple[str, DocPath]]:
        """Ids of the kits that this one extends, with where they are named."""
        named = self.data.get("extends")
        if isinstance(named, str):
            return [(named, ("extends",))]
        if not isinstance(named, list):
            return []
        return [(n, ("extends", i)) for i, n in enumerate(named) if isinstance(n, str)]


def extends_anything(data: Mapping[str, Any]) -> bool:
    """Tell whether a profile, or an entry of it, extends another.

    >>> extends_anything({"id": "club", "cable": [{"id": "a", "extends": "b"}]})
    True
    """
    if "extends" in data:
        return True
    return any(
        isinstance(entry, dict) and "extends" in entry
        for table in TABLES
        if isinstance(data.get(table), list)
        for entry in data[table]
    )
