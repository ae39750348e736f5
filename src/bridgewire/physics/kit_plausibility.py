"""What in a kit profile cannot be, or can hardly be, by physics: one kit alone, without a show.

Each judgment compares values of a profile with one another or with what matter allows. Figures
that bound what is usual rather than possible say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import frozen

from bridgewire.diagnostics import DocPath
from bridgewire.model.kit import Kit
from bridgewire.physics.box_plausibility import box_faults
from bridgewire.physics.part_plausibility import (
    Found,
    cable_faults,
    contact_faults,
    igniter_faults,
)


@frozen
class Judgment:
    """One value of a kit that is hardly right.

    Parameters
    ----------
    table : str
        Its table in the kit profile, such as ``cable``.
    index : int
        Place of the entry in the table, from 0.
    key : str
        Key within the entry, dotted where nested.
    message : str
        What is wrong with it, with both numbers.
    measured, limit : float
        The value in question, and what it should be at most or at least.
    unit : str
        Of both; empty for ratios and counts.

    Examples
    --------
    >>> Judgment("box", 0, "supply.capacitance_F", "47 F?", 37600.0, 5000.0, "J").path
    ('box', 0, 'supply', 'capacitance_F')
    """

    table: str
    index: int
    key: str
    message: str
    measured: float
    limit: float
    unit: str

    @property
    def path(self) -> DocPath:
        """Path in the kit's document."""
        return (self.table, self.index, *self.key.split("."))


def kit_judgments(kit: Kit) -> Iterator[Judgment]:
    """Judge all entries of a kit.

    Parameters
    ----------
    kit : Kit
        Values that it does not state are not judged.

    Yields
    ------
    Judgment
        One for each value that is hardly right, by table and entry.

    Examples
    --------
    >>> from bridgewire.model.band import Band
    >>> from bridgewire.model.kit import Contact
    >>> kit = Kit(1, "club", contact=(Contact("plug", contact_ohm=Band.exact(2.0), rated_A=5.0),))
    >>> [j.message for j in kit_judgments(kit)]
    ['at 5 A one contact of 2 Ω would turn 50 W into heat']
    """
    groups: tuple[tuple[str, Sequence[tuple[int, Iterator[Found]]]], ...] = (
        ("contact", [(i, contact_faults(c)) for i, c in enumerate(kit.contact)]),
        ("cable", [(i, cable_faults(c)) for i, c in enumerate(kit.cable)]),
        ("igniter_class", [(i, igniter_faults(c)) for i, c in enumerate(kit.igniter_class)]),
        ("box", [(i, box_faults(b, kit)) for i, b in enumerate(kit.box)]),
    )
    for table, entries in groups:
        for index, found in entries:
            for key, message, measured, limit, unit in found:
                yield Judgment(table, index, key, message, measured, limit, unit)
