"""A table of a report: a list of records that knows its columns."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from bridgewire.report.contents import Checked
from bridgewire.report.plain_text import count
from bridgewire.report.tables.columns import (
    TABLE_NAMES,
    Column,
    Definition,
    Kind,
    Record,
    TableName,
)
from bridgewire.report.tables.of_cues import CUES
from bridgewire.report.tables.of_currents import LOADS, STRAYS
from bridgewire.report.tables.of_findings import FINDINGS
from bridgewire.report.tables.of_igniters import IGNITERS
from bridgewire.report.tables.of_odds import ODDS

_DEFINITIONS: Mapping[TableName, Definition[Any]] = {
    "cues": CUES,
    "igniters": IGNITERS,
    "findings": FINDINGS,
    "loads": LOADS,
    "strays": STRAYS,
    "odds": ODDS,
}
_DTYPES = {
    Kind.TEXT: "string",
    Kind.WHOLE: "Int64",
    Kind.NUMBER: "float64",
    Kind.YES_NO: "boolean",
}


class Table(list[Record]):
    """The records of one table, in order, with its columns.

    It is a plain list of dicts: loop over it, filter it, give it to ``pandas.DataFrame``.

    Parameters
    ----------
    name : str
        Which table it is, one of `TABLE_NAMES`.
    columns : tuple of Column
        In the order of every record's keys.
    records : iterable of dict
        The rows: name of a column -> value.

    Examples
    --------
    >>> from bridgewire import check
    >>> igniters = check("examples/midwinter-small.toml").table("igniters")
    >>> [r["igniter"] for r in igniters if r["margin"] is not None and r["margin"] < 3.0]
    ['west lances']
    >>> igniters.dtypes["margin"], igniters.dtypes["never"]
    ('float64', 'boolean')
    """

    def __init__(
        self, name: str, columns: tuple[Column, ...], records: Iterable[Record] = ()
    ) -> None:
        super().__init__(records)
        self.name = name
        self.columns = columns

    @property
    def dtypes(self) -> dict[str, str]:
        """Name of each column -> its type for ``pandas.DataFrame.astype``, with room for None."""
        return {c.name: _DTYPES[c.kind] for c in self.columns}

    def __repr__(self) -> str:
        rows, across = count(len(self), "row"), count(len(self.columns), "column")
        return f"<Table {self.name!r}: {rows}, {across}>"

    def _repr_html_(self) -> str:
        from bridgewire.report.tables.table_html import table_html

        return table_html(self.columns, self)

    def __reduce__(self) -> tuple[Any, ...]:
        return (Table, (self.name, self.columns, list(self)))


def columns_of(name: TableName) -> tuple[Column, ...]:
    """List the columns of a table.

    Parameters
    ----------
    name : str
        One of `TABLE_NAMES`.

    Returns
    -------
    tuple of Column
        In the order in which every record has them.

    Raises
    ------
    ValueError
        If there is no such table.

    Examples
    --------
    >>> [c.name for c in columns_of("strays")]
    ['cue', 'igniter', 'peak_A', 'lights', 'on_way', 'lit_before']
    """
    return _definition(name).columns


def table_of(report: Checked, name: TableName) -> Table:
    """Make one table of a report.

    Parameters
    ----------
    report : Checked
        For example ``bridgewire.check("show.toml")``.
    name : str
        One of `TABLE_NAMES`.

    Returns
    -------
    Table
        Keys carry their unit and always come in the same order. A value that is not known, that
        does not apply or that is infinite is None; where it may be infinite, a column with true
        and false says so (``never``, ``no_pulse_is_enough``).

    Raises
    ------
    ValueError
        If there is no such table.

    Examples
    --------
    >>> from bridgewire.api import check
    >>> table = table_of(check("examples/midwinter-small.toml"), "cues")
    >>> len(table), table[0]["pulse_s"], table[0]["verdict"]
    (3, 0.5, 'sure')
    """
    definition = _definition(name)
    return Table(name, definition.columns, definition.records(report))


def _definition(name: TableName) -> Definition[Any]:
    try:
        return _DEFINITIONS[name]
    except KeyError:
        known = ", ".join(TABLE_NAMES)
        raise ValueError(f"there is no table {name!r}; there are {known}") from None
