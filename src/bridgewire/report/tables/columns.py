"""What a table is: its columns, and the plain value of each for each row."""

from __future__ import annotations

import enum
import math
from collections.abc import Callable, Iterable
from typing import Generic, Literal, TypeAlias, TypeVar, get_args

from attrs import frozen

from bridgewire.report.contents import Checked

Cell: TypeAlias = str | int | float | bool | None
"""A value of a record; None is *not known* or *does not apply*."""
Record: TypeAlias = dict[str, Cell]
"""One row: the name of a column with its unit -> value."""
TableName = Literal["cues", "igniters", "findings", "loads", "strays", "odds"]
TABLE_NAMES: tuple[TableName, ...] = get_args(TableName)

Row = TypeVar("Row")


class Kind(enum.Enum):
    """What kind of values a column holds. Any may be None.

    Examples
    --------
    >>> [kind.value for kind in Kind]
    ['text', 'whole number', 'number', 'true or false']
    """

    TEXT = "text"
    WHOLE = "whole number"
    NUMBER = "number"
    YES_NO = "true or false"


@frozen
class Column:
    """One column of a table.

    Parameters
    ----------
    name : str
        With the unit at its end, where it has one: ``pulse_s``, ``peak_A``.
    kind : Kind
        What its values are.
    about : str
        What it says.

    Examples
    --------
    >>> column = Column("peak_A", Kind.NUMBER, "highest current of the supply")
    >>> f"{column.name}: {column.about}"
    'peak_A: highest current of the supply'
    """

    name: str
    kind: Kind
    about: str


@frozen(eq=False)
class Filled(Generic[Row]):
    """A column with what fills it."""

    column: Column
    value: Callable[[Row], Cell]


@frozen(eq=False)
class Definition(Generic[Row]):
    """A table: where its rows come from, and its columns in order."""

    rows: Callable[[Checked], Iterable[Row]]
    filled: tuple[Filled[Row], ...]

    @property
    def columns(self) -> tuple[Column, ...]:
        """Its columns in order."""
        return tuple(f.column for f in self.filled)

    def records(self, report: Checked) -> list[Record]:
        """Its rows for a report, as plain values."""
        return [
            {f.column.name: _plain(f.value(row), f.column.kind) for f in self.filled}
            for row in self.rows(report)
        ]


def text(name: str, about: str, value: Callable[[Row], str | None]) -> Filled[Row]:
    """A column of texts."""
    return Filled(Column(name, Kind.TEXT, about), value)


def whole(name: str, about: str, value: Callable[[Row], int | None]) -> Filled[Row]:
    """A column of whole numbers."""
    return Filled(Column(name, Kind.WHOLE, about), value)


def number(name: str, about: str, value: Callable[[Row], float | None]) -> Filled[Row]:
    """A column of numbers; what is not finite becomes None."""
    return Filled(Column(name, Kind.NUMBER, about), value)


def yes_no(name: str, about: str, value: Callable[[Row], bool | None]) -> Filled[Row]:
    """A column of true and false."""
    return Filled(Column(name, Kind.YES_NO, about), value)


def names(ids: Iterable[str]) -> str:
    """Several ids in one cell.

    >>> names(["comet", "mine"])
    'comet; mine'
    """
    return "; ".join(ids)


def infinite(value: float | None) -> bool | None:
    """Whether a value is infinite; None where it is not known.

    >>> infinite(math.inf), infinite(2.0), infinite(None)
    (True, False, None)
    """
    return None if value is None or math.isnan(value) else math.isinf(value)


def _plain(value: Cell, kind: Kind) -> Cell:
    """A value of Python's own types, also where numpy's stand in the report."""
    if value is None:
        return None
    if kind is Kind.TEXT:
        return str(value)
    if kind is Kind.YES_NO:
        return bool(value)
    if kind is Kind.WHOLE:
        return int(value)
    figure = float(value)
    return figure if math.isfinite(figure) else None
