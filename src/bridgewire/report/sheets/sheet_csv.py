"""The records of a sheet as CSV."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence

from attrs import AttrsInstance, fields

from bridgewire.report.csv_cells import safe_cell
from bridgewire.report.sheets.contents import Sheet


def sheet_csv(sheet: Sheet) -> dict[str, str]:
    """Write the records of a sheet.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    dict of str to str
        File name without ending -> text. The first row holds the names of the records' values,
        with their units. What is not known is empty. Lines end in CR LF (RFC 4180); a text that a
        spreadsheet would take for a formula begins with an apostrophe.
    """
    return {name: records_csv(kind, rows) for name, (kind, rows) in sheet.records.items()}


def records_csv(kind: type[AttrsInstance], rows: Sequence[AttrsInstance]) -> str:
    """Write records of one class, one row each."""
    names = [f.name for f in fields(kind)]
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([n.rstrip("_") for n in names])
    for row in rows:
        writer.writerow([_cell(getattr(row, n)) for n in names])
    return out.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return f"{value:.9g}" if math.isfinite(value) else ""
    return safe_cell(str(value))
