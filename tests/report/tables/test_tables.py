"""Records of a report: the same columns always, plain values, nothing infinite."""

from __future__ import annotations

import copy
import math
import pickle
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from bridgewire.api import Report, check, load_show
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.engine import Ignored
from bridgewire.tables import TABLE_NAMES, Kind, Table, TableName, columns_of
from bridgewire.timeline.outcomes import Times, Verdict
from tests.rules.case_files import CASES, KITS

ROOT = Path(__file__).parents[3]
EXAMPLES = ROOT / "examples"
MATRIX = CASES / "SAF003" / "fail_matrix_without_diodes.toml"
UNITS = ("s", "A", "V", "C", "ohm")
_KINDS = {Kind.TEXT: str, Kind.WHOLE: int, Kind.NUMBER: float, Kind.YES_NO: bool}


@cache
def report(name: str) -> Report:
    if name == "matrix":
        return check(load_show(MATRIX, kit_dirs=[KITS]))
    if name == "unknown":
        cases = CASES / "FIR009"
        return check(load_show(next(cases.glob("fail_*.toml")), kit_dirs=[KITS]))
    draws = 200 if name == "jetty-trial" else None
    return check(EXAMPLES / f"{name}.toml", draws=draws)


SHOWS = ("midwinter-small", "boathouse-troubles", "jetty-trial", "matrix", "unknown")


@pytest.mark.parametrize("show", SHOWS)
@pytest.mark.parametrize("name", TABLE_NAMES)
def test_every_record_has_every_column_with_a_value_of_its_kind(show: str, name: TableName) -> None:
    table = report(show).table(name)
    columns = columns_of(name)
    assert table.columns == columns
    for record in table:
        assert list(record) == [c.name for c in columns]
        for column in columns:
            value = record[column.name]
            assert value is None or type(value) is _KINDS[column.kind], column
            assert not isinstance(value, float) or math.isfinite(value), column


@pytest.mark.parametrize("name", TABLE_NAMES)
def test_some_show_has_rows_and_a_value_in_nearly_every_column(name: TableName) -> None:
    rows = [r for s in SHOWS for r in report(s).table(name)]
    assert rows
    empty = {c.name for c in columns_of(name) if all(r[c.name] is None for r in rows)}
    assert empty <= {"reason", "needed_pulse_s"}, empty


def test_columns_of_a_table_differ_and_say_what_they_are() -> None:
    for name in TABLE_NAMES:
        columns = columns_of(name)
        assert len({c.name for c in columns}) == len(columns)
        for column in columns:
            assert len(column.about) > 5
            assert re.fullmatch(r"[a-z][A-Za-z_]*", column.name)


def test_numbers_carry_a_unit_or_have_none() -> None:
    bare = {"margin", "margin_typical", "rise_typical", "measured", "limit"}
    bare |= {"lights", "lights_low", "lights_high", "log_margin", "log_margin_sd"}
    for name in TABLE_NAMES:
        for column in columns_of(name):
            if column.kind is Kind.NUMBER and column.name not in bare:
                assert column.name.rpartition("_")[2] in UNITS, column.name


def test_cues_are_those_of_the_report() -> None:
    r = report("boathouse-troubles")
    rows: list[dict[str, Any]] = r.table("cues")
    assert [row["cue"] for row in rows] == [c.id for c in r.cues]
    for row, cue in zip(rows, r.cues, strict=True):
        assert row["switch_s"] == cue.switch_s
        assert row["verdict"] == (cue.verdict.value if cue.verdict else None)
        assert sum(row[v.value] for v in Verdict) == row["igniters"] == len(cue.meant)
        assert (row["box"] is None) == (cue.way is None)


def test_what_never_comes_is_none_and_said_to_be_never() -> None:
    r = report("boathouse-troubles")
    outcomes = [i for c in r.cues for i in c.igniters]
    rows = r.table("igniters")
    seen = set()
    for row, igniter in zip(rows, outcomes, strict=True):
        if igniter.lit_before:
            assert row["never"] is row["light_latest_s"] is None
            continue
        for flag, column, at in (
            ("never_best", "light_earliest_s", igniter.light.earliest),
            ("never_typical", "light_typical_s", igniter.light.typical),
            ("never", "light_latest_s", igniter.light.latest),
        ):
            assert row[flag] is math.isinf(at)
            assert row[column] == (None if math.isinf(at) else at)
        seen.add((row["never_best"], row["never_typical"], row["never"]))
    assert {(False, False, False), (False, True, True), (True, True, True)} <= seen
    sought = [c for c in r.table("cues") if c["no_pulse_is_enough"] is not None]
    assert sought
    assert all(c["needed_pulse_s"] is None for c in sought if c["no_pulse_is_enough"])


def test_what_is_not_known_is_neither_never_nor_ever() -> None:
    rows = [r for r in report("unknown").table("igniters") if r["verdict"] == "unknown"]
    assert rows
    for row in rows:
        assert row["light_latest_s"] is row["never"] is row["never_best"] is row["margin"] is None
    told: list[dict[str, Any]] = report("unknown").table("cues")
    cues = [c for c in told if c["unknown"]]
    assert cues
    assert all(c["last_light_s"] is c["never"] is None and c["missing"] > 0 for c in cues)


def test_findings_that_do_not_count_come_last_with_their_reason() -> None:
    r = report("boathouse-troubles")
    ignored = Ignored(r.findings[0], "=known since spring", baseline=True)
    strange = Finding("XXX001", "endless", Severity.INFO, measured=math.inf, limit=math.nan)
    rows = evolve(r, findings=(strange,), ignored=(ignored,)).table("findings")
    assert [(row["code"], row["ignored"], row["known"]) for row in rows] == [
        ("XXX001", False, False),
        (r.findings[0].code, True, True),
    ]
    assert rows[0]["measured"] is rows[0]["limit"] is None
    assert rows[0]["measured_infinite"] is True
    assert rows[0]["limit_infinite"] is None
    assert rows[0]["line"] is None
    assert rows[1]["reason"] == "=known since spring"
    place = r.findings[0].location
    assert place is not None
    assert rows[1]["file"] == place.file


def test_strays_and_loads_are_those_of_the_cues() -> None:
    r = report("matrix")
    strays = r.table("strays")
    assert [s["peak_A"] for s in strays] == [s.peak_A for c in r.cues for s in c.strays]
    loads: list[dict[str, Any]] = r.table("loads")
    assert len(loads) == sum(len(c.loads) for c in r.cues)
    for load in loads:
        assert load["each_A"] <= load["total_A"] * (1 + 1e-9)


def test_odds_are_there_only_where_they_were_asked_for() -> None:
    assert report("midwinter-small").table("odds") == []
    r = report("jetty-trial")
    assert r.odds is not None
    rows: list[dict[str, Any]] = r.table("odds")
    assert len(rows) == sum(len(c.igniters) for c in r.odds.odds.cues)
    assert all(row["lights_low"] <= row["lights"] <= row["lights_high"] for row in rows)


def test_a_report_without_an_assessment_has_tables() -> None:
    bare = Report("x.toml", "x", (), (), report("jetty-trial").cues, (), "00")
    rows = bare.table("igniters")
    assert rows
    assert {row["igniter_class"] for row in rows} == {None}
    empty = evolve(bare, cues=())
    assert {name: len(t) for name, t in empty.tables().items()} == dict.fromkeys(TABLE_NAMES, 0)


def test_an_igniter_spent_before_the_switch_has_no_light_time() -> None:
    r = report("midwinter-small")
    cue = r.cues[0]
    early = evolve(cue.igniters[0], light=Times(-3.0, -2.0, -1.0))
    (row, *_) = evolve(r, cues=(evolve(cue, igniters=(early,)),)).table("igniters")
    assert row["light_typical_s"] is row["never"] is None


def test_no_such_table() -> None:
    with pytest.raises(ValueError, match="no table 'cue'; there are cues, igniters, findings"):
        report("midwinter-small").table("cue")  # type: ignore[arg-type]  # refused
    with pytest.raises(ValueError, match="there are cues"):
        columns_of("")  # type: ignore[arg-type]  # refused


def test_a_table_is_a_list_that_can_be_copied() -> None:
    table = report("midwinter-small").table("cues")
    assert isinstance(table, list)
    assert repr(table) == f"<Table 'cues': 3 rows, {len(table.columns)} columns>"
    for other in (pickle.loads(pickle.dumps(table)), copy.deepcopy(table), copy.copy(table)):
        assert isinstance(other, Table)
        assert other == table
        assert (other.name, other.columns) == (table.name, table.columns)
