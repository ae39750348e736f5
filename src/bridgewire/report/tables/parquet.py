"""A table as a Parquet file, by pyarrow (extra ``parquet``)."""

from __future__ import annotations

import io
from typing import Any

from bridgewire.errors import BridgewireError
from bridgewire.report.tables.columns import Column, Kind
from bridgewire.report.tables.table import Table


class ParquetMissingError(BridgewireError):
    """pyarrow is not installed."""


def table_parquet(table: Table) -> bytes:
    """Write a table as Parquet.

    Parameters
    ----------
    table : Table

    Returns
    -------
    bytes
        The columns have the types of the table, also where every value is None; what each says is
        in its metadata under ``about``.

    Raises
    ------
    ParquetMissingError
        If the extra is not installed.

    Examples
    --------
    >>> from bridgewire.report.tables.table import Table, columns_of
    >>> table_parquet(Table("strays", columns_of("strays")))[:4]
    b'PAR1'
    """
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError:
        raise ParquetMissingError(
            "Parquet needs one more package: pip install 'bridgewire[parquet]'; or use to_csv"
        ) from None
    schema = pyarrow.schema([_field(pyarrow, c) for c in table.columns])
    out = io.BytesIO()
    pyarrow.parquet.write_table(pyarrow.Table.from_pylist(list(table), schema=schema), out)
    return out.getvalue()


def _field(pyarrow: Any, column: Column) -> Any:
    types = {
        Kind.TEXT: pyarrow.string,
        Kind.WHOLE: pyarrow.int64,
        Kind.NUMBER: pyarrow.float64,
        Kind.YES_NO: pyarrow.bool_,
    }
    return pyarrow.field(column.name, types[column.kind](), metadata={"about": column.about})
