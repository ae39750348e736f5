"""Tables of a report as records, CSV and Parquet, for notebooks, spreadsheets and data frames.

Examples
--------
>>> import bridgewire
>>> from bridgewire.tables import to_csv
>>> report = bridgewire.check("examples/midwinter-small.toml")
>>> [(r["cue"], r["verdict"]) for r in report.table("cues")]
[('twin comets', 'sure'), ('lances', 'sure'), ('crackle', 'sure')]
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from os import PathLike
from pathlib import Path

from bridgewire.report.tables.columns import (
    TABLE_NAMES,
    Cell,
    Column,
    Kind,
    Record,
    TableName,
)
from bridgewire.report.tables.table import Table, columns_of

__all__ = [
    "TABLE_NAMES",
    "Column",
    "Kind",
    "Record",
    "Table",
    "TableName",
    "columns_of",
    "to_csv",
    "to_parquet",
]


def to_csv(records: Table | Iterable[Mapping[str, Cell]], path: str | PathLike[str]) -> None:
    """Write records to a CSV file that a spreadsheet can open without running anything.

    Parameters
    ----------
    records : Table, or iterable of mapping of str to value
        ``report.table("cues")``, or any of its records.
    path : path
        What stands there is replaced.

    Raises
    ------
    OSError
        If the file cannot be written.

    See Also
    --------
    bridgewire.report.tables.table_csv.table_csv : the same as a text

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     to_csv([{"cue": "opening", "pulse_s": 0.5}], f"{folder}/cues.csv")
    ...     print(Path(folder, "cues.csv").read_text().strip())
    cue,pulse_s
    opening,0.5
    """
    from bridgewire.report.tables.table_csv import table_csv

    Path(path).write_bytes(table_csv(records).encode("utf-8"))


def to_parquet(table: Table, path: str | PathLike[str]) -> None:
    """Write a table to a Parquet file. Needs the extra ``parquet``.

    Parameters
    ----------
    table : Table
        ``report.table("cues")``. A list of some of its records no longer knows its columns:
        ``Table(table.name, table.columns, some)`` does.
    path : path
        What stands there is replaced.

    Raises
    ------
    ParquetMissingError
        If the extra is not installed.
    OSError
        If the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     to_parquet(Table("strays", columns_of("strays")), f"{folder}/strays.parquet")
    """
    from bridgewire.report.tables.parquet import table_parquet

    Path(path).write_bytes(table_parquet(table))
