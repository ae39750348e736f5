"""The first rows of a table of a report as HTML for a notebook."""

from __future__ import annotations

from bridgewire.report.figures import number
from bridgewire.report.notebook.html import name, table, text
from bridgewire.report.plain_text import count
from bridgewire.report.tables.columns import Cell, Kind
from bridgewire.report.tables.table import Table

SHOWN = 20
"""Rows that are shown."""
_LONGEST = 80


def table_html(records: Table) -> str:
    """Write a table for a notebook.

    Parameters
    ----------
    records : Table

    Returns
    -------
    str
        The first rows with three digits of each number, and how many there are in all. Columns
        without any value are left out and counted.
    """
    columns = [
        c for c in records.columns if not records or any(r.get(c.name) is not None for r in records)
    ]
    figures = {n for n, c in enumerate(columns) if c.kind in (Kind.NUMBER, Kind.WHOLE)}
    rows = [[_cell(r.get(c.name)) for c in columns] for r in records[:SHOWN]]
    said = [count(len(records), "row")]
    if len(records) > SHOWN:
        said.append(f"the first {SHOWN} shown")
    empty = len(records.columns) - len(columns)
    if empty:
        said.append(f"{count(empty, 'column')} without values left out")
    shown = table([name(c.name) for c in columns], rows, figures)
    return f"<div>{shown}<p>{', '.join(said)}</p></div>"


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return number(value)
    return str(value) if isinstance(value, int) else text(value, _LONGEST)
