"""The first rows of a table of a report as HTML for a notebook."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.report.figures import number
from bridgewire.report.notebook.html import name, table, text
from bridgewire.report.plain_text import count
from bridgewire.report.tables.columns import Cell, Column, Kind, Record

SHOWN = 20
"""Rows that are shown."""
_LONGEST = 80


def table_html(columns: Sequence[Column], records: Sequence[Record]) -> str:
    """Write a table for a notebook.

    Parameters
    ----------
    columns : sequence of Column
        All that the table has.
    records : sequence of dict
        All its rows.

    Returns
    -------
    str
        The first rows with three digits of each number, and how many there are in all. Columns
        without any value are left out and counted.
    """
    filled = [c for c in columns if not records or any(r.get(c.name) is not None for r in records)]
    figures = {n for n, c in enumerate(filled) if c.kind in (Kind.NUMBER, Kind.WHOLE)}
    rows = [[_cell(r.get(c.name)) for c in filled] for r in records[:SHOWN]]
    said = [count(len(records), "row")]
    if len(records) > SHOWN:
        said.append(f"the first {SHOWN} shown")
    empty = len(columns) - len(filled)
    if empty:
        said.append(f"{count(empty, 'column')} without values left out")
    shown = table([name(c.name) for c in filled], rows, figures)
    return f"<div>{shown}<p>{', '.join(said)}</p></div>"


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return number(value)
    return str(value) if isinstance(value, int) else text(value, _LONGEST)
