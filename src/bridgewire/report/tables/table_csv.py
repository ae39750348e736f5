"""A table as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from itertools import chain

from bridgewire.report.csv_cells import safe_cell
from bridgewire.report.tables.columns import Cell
from bridgewire.report.tables.table import Table


def table_csv(records: Table | Iterable[Mapping[str, Cell]]) -> str:
    """Write records as CSV.

    Parameters
    ----------
    records : Table, or iterable of mapping of str to value
        The first row holds the names of the table's columns, or else the keys in the order in
        which they first come.

    Returns
    -------
    str
        None is empty, true and false are ``yes`` and ``no``; numbers have nine significant
        digits. Lines end in CR LF (RFC 4180); a text that a spreadsheet would take for a formula
        begins with an apostrophe.

    Examples
    --------
    >>> table_csv([{"cue": "=1+1", "pulse_s": 0.5, "never": None}]).splitlines()
    ['cue,pulse_s,never', "'=1+1,0.5,"]
    """
    if isinstance(records, Table):
        keys = [c.name for c in records.columns]
        rows: list[Mapping[str, Cell]] = list(records)
    else:
        rows = list(records)
        keys = list(dict.fromkeys(chain.from_iterable(rows)))
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([safe_cell(k) for k in keys])
    for row in rows:
        writer.writerow([_cell(row.get(k)) for k in keys])
    return out.getvalue()


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.9g}"
    return str(value) if isinstance(value, int) else safe_cell(value)
