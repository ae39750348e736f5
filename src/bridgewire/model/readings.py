"""Meter readings of circuits on site."""

from __future__ import annotations

from typing import Literal

from attrs import field, frozen

from bridgewire.diagnostics import Location

Moment = Literal["before", "after"]


@frozen
class Reading:
    """One row of a readings file."""

    way: tuple[str, int, int]
    """Box, output and way."""
    place: str
    """``box``, or the id of a strip."""
    moment: Moment
    """Before firing, or after the show."""
    ohm: float | None = None
    """As the meter showed it; None where it showed an open circuit or nothing was measured."""
    over_range: bool = False
    """Whether the meter showed an open circuit."""
    lead_ohm: float | None = None
    """Of the meter's own leads, to be taken off; None where the row does not say."""
    remark: str = ""
    location: Location | None = field(default=None, eq=False)

    @property
    def measured(self) -> bool:
        """Whether there is a reading at all."""
        return self.over_range or self.ohm is not None


@frozen
class MeterAccuracy:
    """How far a meter may be off: a share of the reading and a fixed part (its last digits).

    >>> round(MeterAccuracy(1.0, 0.05).limit_ohm(2.0), 3)
    0.07
    """

    pct: float
    ohm: float

    def limit_ohm(self, reading_ohm: float) -> float:
        """Largest error of a reading, ohm."""
        return abs(reading_ohm) * self.pct / 100.0 + self.ohm


@frozen
class Readings:
    """A readings file as read."""

    file: str
    sha256: str
    rows: tuple[Reading, ...]
    """In the order of the file."""
