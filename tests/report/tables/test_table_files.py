"""Tables as CSV, Parquet and data frames, read back by others' readers."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from bridgewire.report.tables.table_csv import table_csv
from bridgewire.tables import (
    TABLE_NAMES,
    Column,
    Kind,
    Table,
    TableName,
    columns_of,
    to_csv,
    to_parquet,
)
from tests.agreements import Agreement
from tests.report.tables.test_tables import SHOWS, report


def tool(name: str) -> ModuleType:
    if os.environ.get("BRIDGEWIRE_REQUIRE_ORACLES") == "1":
        return __import__(name)
    found: ModuleType = pytest.importorskip(name)
    return found


HOSTILE = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1",
    "a\r\n=1",
    "<script>",
    'quo"te',
    "x" * 5000,
    "Ω灯",
]


def test_csv_runs_no_formula_and_keeps_its_shape(tmp_path: Path) -> None:
    file = tmp_path / "names.csv"
    to_csv(
        [{"=name": word, "n": n, "x": 1 / 3, "yes": True} for n, word in enumerate(HOSTILE)], file
    )
    with file.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.reader(lines))
    assert rows[0] == ["'=name", "n", "x", "yes"]
    assert len(rows) == len(HOSTILE) + 1
    for n, (row, word) in enumerate(zip(rows[1:], HOSTILE, strict=True)):
        assert row[1:] == [str(n), "0.333333333", "yes"]
        assert not row[0].lstrip().startswith(("=", "+", "-", "@"))
        assert row[0].removeprefix("'").replace(" ", "") == "".join(word.split())
    assert file.read_bytes().endswith(b"\r\n")


@pytest.mark.parametrize("show", SHOWS)
@pytest.mark.parametrize("name", TABLE_NAMES)
def test_csv_of_a_table_holds_its_values(show: str, name: TableName) -> None:
    table = report(show).table(name)
    rows = list(csv.DictReader(table_csv(table).splitlines()))
    assert len(rows) == len(table)
    for row, record in zip(rows, table, strict=True):
        for key, value in record.items():
            if value is None:
                assert row[key] == ""
            elif isinstance(value, bool):
                assert row[key] == ("yes" if value else "no")
            elif isinstance(value, (int, float)):
                assert float(row[key]) == pytest.approx(value, rel=1e-8)
            else:
                assert row[key].removeprefix("'") == value.removeprefix("'")


def test_csv_of_an_empty_table_has_its_headings() -> None:
    assert table_csv(Table("strays", columns_of("strays"))) == (
        "cue,igniter,peak_A,lights,on_way,lit_before\r\n"
    )
    assert table_csv([]) == "\r\n"


def test_records_of_different_keys_are_all_in_the_csv() -> None:
    assert table_csv([{"a": 1}, {"b": False}]) == "a,b\r\n1,\r\n,no\r\n"


def test_a_folder_that_is_not_there_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        to_csv([], tmp_path / "nowhere" / "x.csv")


PARQUET = Agreement(
    "parquet-read",
    oracle="PyArrow",
    what="values, types and remarks of every table written as Parquet",
    limit=0.0,
    unit="yes or no",
    package="pyarrow",
)


@pytest.mark.oracle
@pytest.mark.parametrize("show", ["boathouse-troubles", "matrix"])
@pytest.mark.parametrize("name", TABLE_NAMES)
def test_parquet_is_read_back_with_its_types(show: str, name: TableName, tmp_path: Path) -> None:
    pyarrow = tool("pyarrow")
    parquet = __import__("pyarrow.parquet").parquet
    table = report(show).table(name)
    to_parquet(table, tmp_path / "table.parquet")
    back = parquet.read_table(tmp_path / "table.parquet")
    assert back.to_pylist() == list(table)
    types = {
        Kind.TEXT: pyarrow.string(),
        Kind.WHOLE: pyarrow.int64(),
        Kind.NUMBER: pyarrow.float64(),
        Kind.YES_NO: pyarrow.bool_(),
    }
    for column in table.columns:
        field = back.schema.field(column.name)
        assert field.type == types[column.kind]
        assert field.metadata == {b"about": column.about.encode()}
    PARQUET.agrees()


@pytest.mark.oracle
def test_parquet_holds_hostile_names(tmp_path: Path) -> None:
    tool("pyarrow")
    parquet = __import__("pyarrow.parquet").parquet
    column = Column("name", Kind.TEXT, "any")
    to_parquet(Table("names", (column,), [{"name": w} for w in HOSTILE]), tmp_path / "n.parquet")
    assert parquet.read_table(tmp_path / "n.parquet").column("name").to_pylist() == HOSTILE


def test_parquet_without_the_package_names_the_extra(tmp_path: Path) -> None:
    script = (
        "import sys; sys.modules['pyarrow'] = None\n"
        "from bridgewire.errors import BridgewireError\n"
        "from bridgewire.tables import Table, columns_of, to_parquet\n"
        "try: to_parquet(Table('strays', columns_of('strays')), 'x.parquet')\n"
        "except BridgewireError as error: print(error)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=tmp_path
    )
    assert "pip install 'bridgewire[parquet]'" in done.stdout
    assert not (tmp_path / "x.parquet").exists()


@pytest.mark.oracle
@pytest.mark.parametrize("name", TABLE_NAMES)
def test_a_data_frame_has_the_types_of_the_columns(name: TableName) -> None:
    pandas = tool("pandas")
    for show in SHOWS:
        table = report(show).table(name)
        names = [c.name for c in table.columns]
        frame = pandas.DataFrame(table, columns=names).astype(table.dtypes)
        assert list(frame.columns) == names
        assert len(frame) == len(table)
        wanted = {
            Kind.TEXT: pandas.api.types.is_string_dtype,
            Kind.WHOLE: pandas.api.types.is_integer_dtype,
            Kind.NUMBER: pandas.api.types.is_float_dtype,
            Kind.YES_NO: pandas.api.types.is_bool_dtype,
        }
        for column in table.columns:
            assert wanted[column.kind](frame[column.name].dtype), column
            known = [r[column.name] for r in table if r[column.name] is not None]
            assert frame[column.name].dropna().tolist() == known


@pytest.mark.oracle
def test_a_data_frame_of_the_bare_records_can_be_asked() -> None:
    pandas = tool("pandas")
    frame = pandas.DataFrame(report("boathouse-troubles").table("igniters"))
    assert frame["margin"].dtype == "float64"
    weakest = frame.loc[frame["margin"].idxmin()]
    margins = [i.margin for c in report("boathouse-troubles").cues for i in c.meant if i.margin]
    assert weakest["margin"] == min(margins)
