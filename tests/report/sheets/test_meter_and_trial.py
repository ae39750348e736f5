"""What a meter should read and may send, and the form for trials."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bridgewire.bench.meter.expected import expected_resistances
from bridgewire.report.sheets.make import make_sheets
from bridgewire.report.sheets.meter import meter_rows
from bridgewire.report.sheets.meter_sheet import band_cell, meter_sheet
from bridgewire.report.sheets.sheet_csv import sheet_csv
from bridgewire.report.sheets.trial import HEADINGS
from bridgewire.timeline.outcomes import Assessment
from tests.report.sheets.shows import PARALLEL_AND_LEADS, checked, midwinter, regatta


def assessed() -> Assessment:
    found = midwinter().assessment
    assert found is not None
    return found


def test_every_expected_reading_is_a_row() -> None:
    expected = expected_resistances(assessed())
    rows = meter_rows(assessed())
    assert len(rows) * 2 == len(expected)
    by_place = {((r.box, r.output, r.way), r.place): r for r in rows}
    for e in expected:
        row = by_place[e.way, e.place]
        low, opens = (
            (row.before_min_ohm, row.before_opens)
            if e.moment == "before"
            else (row.after_min_ohm, row.after_opens)
        )
        assert low == (None if e.band is None else e.band.min)
        assert opens == e.reads_open


def test_the_band_of_one_igniter_by_hand() -> None:
    """West comet at its strip: bridge and leads, two contacts, and the strip's inside twice.

    1.42 + 0.15 + 2 × 0.002 = 1.574 and 1.58 + 0.25 + 2 × 0.04 = 1.91 Ω (inner track not passed,
    as the terminal itself is probed).
    """
    row = next(r for r in meter_rows(assessed()) if r.place == "west" and r.way == 1)
    assert row.before_min_ohm == pytest.approx(1.574, abs=2e-3)
    assert row.before_max_ohm == pytest.approx(1.91, abs=2e-3)


def test_only_the_igniters_that_a_reading_passes_are_named() -> None:
    """Heron has a diode in every way: at a strip only its own igniters are measured."""
    rows = {(r.place, r.way): r.igniters for r in meter_rows(assessed())}
    assert rows["box", 1] == "west comet, east comet"
    assert (rows["west", 1], rows["east", 1]) == ("west comet", "east comet")


CHAIN = """
[[box]]
id = "jetty box"
kind = "{box}"
[[strip]]
id = "near"
kind = "jetty-strip-8"
[[strip]]
id = "far"
kind = "jetty-strip-8"
[[run]]
from = "jetty box/1"
to = "near"
cable = "shore-cable"
length_m = 10
[[run]]
from = "near"
to = "far"
cable = "shore-cable"
length_m = 10
[[igniter]]
id = "near one"
at = "near/1"
class = "lantern-match"
[[igniter]]
id = "far one"
at = "far/1"
class = "lantern-match"
"""


@pytest.mark.parametrize(("box", "near"), [("teal", "near one, far one"), ("heron", "near one")])
def test_what_hangs_beyond_a_strip_is_measured_with_it_unless_a_diode_bars(
    box: str, near: str
) -> None:
    """The words agree with the band: two matches of 1.57 to 1.83 Ω in parallel, or one."""
    found = checked(CHAIN.format(box=box)).assessment
    assert found is not None
    rows = {r.place: r for r in meter_rows(found)}
    assert rows["near"].igniters == near
    assert rows["far"].igniters == "far one"
    assert rows["near"].before_max_ohm is not None
    assert (rows["near"].before_max_ohm < 1.8) == (box == "teal")


def test_the_least_limit_of_a_way_holds() -> None:
    """No-fire current 0.25 A: 20 % is 0.05 A. WAC 212-17-317(6)."""
    assert {r.test_limit_A for r in meter_rows(assessed())} == {0.05}


def test_an_unknown_limit_forbids_measuring() -> None:
    kit = """
format = 1
id = "shed"
[[igniter_class]]
id = "old match"
kind = "electric-match"
bridge_ohm = 1.5
"""
    text = PARALLEL_AND_LEADS.replace('class = "lantern-match"', 'class = "shed:old match"', 1)
    from bridgewire.api import check
    from tests.report.sheets.shows import loaded

    report = check(loaded(text, kit=kit))
    assert report.assessment is not None
    rows = [r for r in meter_rows(report.assessment) if r.way == 1]
    assert all(r.test_limit_A is None for r in rows)
    assert all(r.before_min_ohm is None and r.before_why for r in rows)
    sheet = meter_sheet(report.assessment)
    cells = [row for s in sheet.sections for g in s.grids for row in g.rows]
    assert any("NOT KNOWN" in row and any("no band: note" in c for c in row) for row in cells)
    assert any("Where the limit is not known, do not measure" in c for c in sheet.cautions)
    notes = [line for s in sheet.sections for line in s.lines]
    assert any("Note 1: not known:" in n and "lead_ohm" in n for n in notes)


def test_readings_through_diodes_are_counted_not_listed() -> None:
    (section,) = meter_sheet(assessed()).sections
    places = {row[1] for g in section.grids[1:] for row in g.rows}
    assert places == {"west", "east"}
    listed = sum(len(g.rows) for g in section.grids[1:])
    left_out = next(line for line in section.lines if line.startswith("Not listed: "))
    assert " at the box, because " in left_out
    assert listed + int(left_out.split()[2]) == len(meter_rows(assessed()))


def test_the_meter_is_noted_before_and_after() -> None:
    (section,) = meter_sheet(assessed()).sections
    assert section.grids[0].rows == (("before firing",), ("after the show",))


def test_a_show_without_igniters_has_a_sheet_all_the_same() -> None:
    report = checked("")
    (sheet,) = make_sheets(report, ["meter"])
    assert sheet.sections[0].title == "No circuit"


def test_the_full_size_show_has_all_its_ways() -> None:
    report = regatta()
    assert report.assessment is not None
    rows = meter_rows(report.assessment)
    assert {(r.box, r.output, r.way) for r in rows} == set(report.assessment.layout.by_way)


def test_the_trial_form_has_the_headings_of_its_csv_file() -> None:
    (sheet,) = make_sheets(midwinter(), ["trial"])
    form = sheet.sections[1].grids[0]
    assert tuple(c.heading for c in form.columns) == HEADINGS
    assert len(form.rows) == 22
    (row,) = csv.reader(io.StringIO(sheet_csv(sheet)["trial"]))
    assert tuple(row) == HEADINGS
    assert any("harrowmere 1.0" in line for line in sheet.lines)


def test_the_form_is_what_the_reader_of_trials_reads() -> None:
    from bridgewire.documents.bench_cells import COLUMNS

    assert HEADINGS == COLUMNS


@given(st.floats(0.001, 1e5), st.floats(0.0, 100.0))
def test_a_band_is_never_printed_narrower_than_it_is(low: float, width: float) -> None:
    text = band_cell(low, low + width, "no", "")
    printed = [float(x) for x in text.split(" to ")]
    assert printed[0] <= low + 1e-6
    assert low + width - 1e-6 <= printed[1]
    assert printed[1] - printed[0] <= width + 0.2 + 1e-6
