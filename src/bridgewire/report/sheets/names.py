"""What the things of a show are called on sheets."""

from __future__ import annotations

from typing import Protocol

from bridgewire.circuit.layout import Part, WayKey
from bridgewire.model.band import Band
from bridgewire.report.figures import number


class AnyTable(Protocol):
    """Entries of one sort over all kits of a show."""

    def full_id(self, ref: str) -> str | None:
        """The full id that a reference means."""


def way_name(way: WayKey | None) -> str:
    """``heron-1/1/4``, as in the show file."""
    return "no such way" if way is None else "/".join(str(k) for k in way)


def path_name(part: Part) -> str:
    """From the box to a part: ``heron-1/1 -> mooring -> west``."""
    names: list[str] = []
    at: Part | None = part
    while at is not None:
        names.append(at.id)
        at = at.parent
    start = "not wired" if part.output is None else f"{part.output[0]}/{part.output[1]}"
    return " -> ".join([start, *reversed(names)])


def short_ref(table: AnyTable, full: str) -> str:
    """A kit entry as a show could name it: without its kit where that is clear."""
    bare = full.rpartition(":")[2]
    return bare if table.full_id(bare) == full else full


def metres(value: float | None, decimals: int = 1) -> str:
    """A length for a column of metres; empty where it is not known.

    >>> metres(18.54), metres(18.0), metres(None)
    ('18.5', '18.0', '')
    """
    return "" if value is None else f"{value:.{decimals}f}"


def band_metres(band: Band | None) -> str:
    """A band of lengths for a column of metres.

    >>> band_metres(Band(17.5, 18.0, 18.5)), band_metres(Band.exact(18.0)), band_metres(None)
    ('17.5 to 18.5', '18', 'not known')
    """
    if band is None:
        return "not known"
    low, high = number(band.min), number(band.max)
    return low if low == high else f"{low} to {high}"
