from __future__ import annotations

import csv
import io
import sys
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from attrs import evolve

from bridgewire.report.axis import make_axis
from bridgewire.report.csv_cells import safe_cell
from bridgewire.report.curve_labels import Curve, place_labels
from bridgewire.report.png import PngError, svg_to_png
from bridgewire.report.trace_csv import trace_csv
from bridgewire.report.trace_svg import HEIGHT, WIDTH, trace_svg
from bridgewire.report.trace_text import trace_text
from bridgewire.timeline.trace import CueTrace, trace_cue
from tests.report.fixtures import small_report
from tests.report.trace_shows import assessed, cue, igniter

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def comets() -> CueTrace:
    assessment = small_report().assessment
    assert assessment is not None
    return trace_cue(assessment, "three comets on the jetty")


def renamed(trace: CueTrace, name: str) -> CueTrace:
    """The trace with another name for its cue and its first igniter."""
    first, *others = trace.igniters
    return evolve(trace, cue=name, igniters=(evolve(first, id=name), *others))


def rows_of(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text)))


def test_csv_has_one_row_per_time_and_a_column_per_value(comets: CueTrace) -> None:
    heading, *rows = rows_of(trace_csv(comets))
    assert heading[:2] == ["time_s", "supply_V"]
    assert heading[2:6] == [
        "comet near current_A",
        "comet near rise",
        "comet near temperature_C",
        "comet near state",
    ]
    assert len(heading) == 2 + 4 * 3
    assert len(rows) == comets.time_s.size
    times = [float(row[0]) for row in rows]
    assert times == sorted(set(times))
    np.testing.assert_allclose(
        [float(row[2]) for row in rows], comets.igniters[0].current_A, rtol=1e-5, atol=1e-9
    )


@pytest.mark.parametrize(
    "name", ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1", " =1", '=cmd|" /C calc"!A0']
)
def test_names_cannot_become_formulas(name: str, comets: CueTrace) -> None:
    assert safe_cell(name).startswith("'")
    heading = rows_of(trace_csv(renamed(comets, name)))[0]
    assert all(cell[:1] not in tuple("=+-@\t\r") for cell in heading)
    assert "\n" not in "".join(heading)


def test_the_drawing_is_well_formed_and_complete(comets: CueTrace) -> None:
    root = ElementTree.fromstring(trace_svg(comets))
    assert root.get("viewBox") == f"0 0 {WIDTH} {HEIGHT}"
    lines = root.findall(f"{SVG}polyline")
    assert len(lines) == 6
    texts = ["".join(t.itertext()) for t in root.iter(f"{SVG}text")]
    for igniter_trace in comets.igniters:
        assert sum(igniter_trace.id in t for t in texts) >= 2
    assert "current (A)" in texts
    assert "bridge temperature (°C)" in texts
    assert any("time from the switching of the cue (s)" in t for t in texts)
    assert any("lights at 700 °C" in t for t in texts)
    lit = sum(i.light_s is not None for i in comets.igniters)
    assert len(root.findall(f"{SVG}circle")) == 2 * lit + 1  # and one in the key


def test_curves_differ_without_colour(comets: CueTrace) -> None:
    root = ElementTree.fromstring(trace_svg(comets))
    dashes = [line.get("stroke-dasharray", "") for line in root.findall(f"{SVG}polyline")]
    assert len(set(dashes[:3])) == 3
    assert dashes[:3] == dashes[3:]


def test_everything_drawn_lies_on_the_sheet(comets: CueTrace) -> None:
    root = ElementTree.fromstring(trace_svg(comets))
    for line in root.findall(f"{SVG}polyline"):
        for point in (line.get("points") or "").split():
            x, y = (float(v) for v in point.split(","))
            assert 0 <= x <= WIDTH
            assert 0 <= y <= HEIGHT


def test_names_cannot_break_the_drawing(comets: CueTrace) -> None:
    root = ElementTree.fromstring(trace_svg(renamed(comets, "<script>&\x01\"']]>")))
    assert not list(root.iter(f"{SVG}script"))
    assert any("<script>&" in "".join(t.itertext()) for t in root.iter(f"{SVG}text"))


def test_twenty_igniters_can_be_drawn(tmp_path: Path) -> None:
    entries = [igniter(f"i{n}", "near/1" if n % 2 else "far/1", "wire") for n in range(20)]
    a = assessed(tmp_path, "battery", *entries, cue("c", 1, 5.0, 0.5))
    root = ElementTree.fromstring(trace_svg(trace_cue(a, "c")))
    assert len(root.findall(f"{SVG}polyline")) == 60  # two panels and a key
    texts = ["".join(t.itertext()) for t in root.iter(f"{SVG}text")]
    assert {f"i{n}" for n in range(20)} <= set(texts)


def test_rise_is_drawn_where_no_temperature_is_known(tmp_path: Path) -> None:
    a = assessed(tmp_path, "steady", igniter("one", "near/1", "bridge"), cue("c", 1, 5.0, 0.05))
    svg = trace_svg(trace_cue(a, "c"))
    assert "bridge temperature rise (1 = lights)" in svg
    assert "(ms)" in svg


def test_what_is_over_in_no_time_is_drawn_large(tmp_path: Path) -> None:
    a = assessed(tmp_path, "steady", igniter("one", "near/1", "bridge"), cue("c", 1, 5.0, 2.0))
    trace = trace_cue(a, "c")
    (one,) = trace.igniters
    assert one.part_s is not None
    assert one.part_s < 0.05
    root = ElementTree.fromstring(trace_svg(trace))
    texts = ["".join(t.itertext()) for t in root.iter(f"{SVG}text")]
    assert "time from the switching of the cue (ms)" in texts
    assert "No current flows after this; the pulse goes on to 2.00 s." in texts
    middle = float(root.findall(f"{SVG}circle")[0].get("cx", "0"))
    assert 100.0 < middle < 800.0  # where it lights
    for line in root.findall(f"{SVG}polyline"):
        assert all(float(p.split(",")[0]) <= WIDTH - 20 for p in (line.get("points") or "").split())


def test_a_trace_that_lasts_is_drawn_whole(comets: CueTrace) -> None:
    assert "No current flows after this" not in trace_svg(comets)


def test_a_name_keeps_clear_of_a_curve_of_few_points() -> None:
    rising = Curve(
        "a name of some length", np.array([70.0, 475.0, 880.0]), np.array([240.0, 20, 20])
    )
    (label,) = place_labels([rising], (70.0, 880.0), (0.0, 260.0))
    assert label.room > 0.0


def test_png_of_a_trace(comets: CueTrace) -> None:
    pytest.importorskip("resvg_py")
    png = svg_to_png(trace_svg(comets), zoom=1)
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = (int.from_bytes(png[k : k + 4], "big") for k in (16, 20))
    assert (width, height) == (WIDTH, HEIGHT)


def test_png_without_the_package_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    with pytest.raises(PngError, match=r"pip install 'bridgewire\[png\]'"):
        svg_to_png("<svg/>")


def test_events_are_told_in_order(comets: CueTrace) -> None:
    text = trace_text(comets)
    order = ["pulse begins", "comet near lights", "comet near burns open", "comet middle lights"]
    places = [text.index(words) for words in order]
    assert places == sorted(places)
    assert "comet far is not lit" in text
    assert all(len(line) <= 80 for line in text.splitlines())


@pytest.mark.parametrize(("low", "high"), [(0, 2.9), (0, 1e-3), (-2, 1200), (-60, 40), (5, 5)])
def test_axes_cover_their_data(low: float, high: float) -> None:
    axis = make_axis(low, high, 0.0, 100.0)
    assert axis.low <= low
    assert axis.high >= high
    assert 2 <= len(axis.ticks) <= 9
    assert all(axis.low - 1e-9 <= t <= axis.high + 1e-9 for t in axis.ticks)
    assert axis.at(axis.low) == 0.0
    assert axis.at(axis.high) == pytest.approx(100.0)
