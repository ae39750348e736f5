"""Text, JSON, CSV and drawing of a report about supplies."""

from __future__ import annotations

import csv
import io
import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import jsonschema
import pytest
from attrs import evolve

import bridgewire
from bridgewire.report.plain_text import columns
from bridgewire.report.png import svg_to_png
from bridgewire.report.supply_contents import SupplyReport, supply_report
from bridgewire.report.supply_csv import HEADINGS, supply_csv
from bridgewire.report.supply_json import supply_json
from bridgewire.report.supply_svg import WIDTH, supply_svg
from bridgewire.report.supply_text import supply_text
from bridgewire.timeline.supply_log import supply_logs
from tests.report.fixtures import small_report
from tests.uncertainty.supply_bench import one_box

SVG = "{http://www.w3.org/2000/svg}"
SCHEMA = json.loads(
    (Path(bridgewire.__file__).parent / "schemas" / "supply-1.json").read_text(encoding="utf-8")
)
NASTY = "<script>&\x01\"']]>\u202e"


@pytest.fixture(scope="module")
def bench() -> SupplyReport:
    """Five cues on one box that runs low in the cold."""
    a = one_box(cues=5, count=2, pulse_s=2.0, length_m=2.0, box={"standby_s": 600.0})
    return supply_report(a, (-25.0, 0.0, 20.0, 35.0), file="bench.toml", sha256="00")


@pytest.fixture(scope="module")
def unknown() -> SupplyReport:
    a = one_box(supply={"internal_ohm": None}, box={"id": "box"}, kind={"min_supply_V": None})
    return supply_report(a, (0.0, 20.0))


@pytest.fixture(scope="module")
def small() -> SupplyReport:
    assessment = small_report().assessment
    assert assessment is not None
    return supply_report(assessment, (-10.0, 35.0))


@pytest.fixture(params=["bench", "unknown", "small"])
def report(request: pytest.FixtureRequest) -> SupplyReport:
    found = request.getfixturevalue(request.param)
    assert isinstance(found, SupplyReport)
    return found


def named(report: SupplyReport, name: str) -> SupplyReport:
    log = report.logs[0]
    first, *others = log.entries
    entries = (evolve(first, id=name), *others)
    return evolve(report, title=name, logs=(evolve(log, entries=entries), *report.logs[1:]))


def validate(text: str) -> Any:
    data = json.loads(text, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    jsonschema.Draft202012Validator(SCHEMA).validate(data)
    return data


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$id"] == "urn:bridgewire:schema:supply:1"


def test_a_report_fits_the_schema(report: SupplyReport) -> None:
    data = validate(supply_json(report, "0"))
    assert data["cautions"]
    assert [b["box"] for b in data["boxes"]] == list(report.boxes)
    assert [b["box"] for b in data["late"]["boxes"]] == list(report.boxes)


def test_the_json_holds_the_figures(bench: SupplyReport) -> None:
    data = validate(supply_json(bench, "0"))
    (box,) = data["boxes"]
    entry = bench.logs[0].entries[2]
    assert box["cues"][2]["lowest_V"]["worst"] == entry.lowest_V
    assert box["cues"][2]["used_before_Ah"] == entry.used_before_Ah
    cold = data["sweep"]["steps"][0]
    assert cold["at_C"] == -25.0
    assert cold["verdict_counts"] == {"sure": 0, "marginal": 0, "no": 0, "unknown": 5}
    assert "min_C" in cold["boxes"][0]["unknown"]
    assert data["late"]["least_minutes"] == bench.late[0].minutes


def test_the_schema_is_strict(bench: SupplyReport) -> None:
    data = json.loads(supply_json(bench, "0"))
    data["boxes"][0]["volts"] = 1.0
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(SCHEMA).validate(data)


def test_csv_has_one_row_per_cue(report: SupplyReport) -> None:
    heading, *rows = csv.reader(io.StringIO(supply_csv(report.logs)))
    assert tuple(heading) == HEADINGS
    assert len(rows) == sum(len(log.entries) for log in report.logs)
    every = [(log.box, e) for log in report.logs for e in log.entries]
    for row, (box, entry) in zip(rows, every, strict=True):
        assert row[:2] == [box, entry.id]
        if entry.lowest_V is None:
            assert row[5] == ""
        else:
            assert float(row[5]) == pytest.approx(entry.lowest_V, rel=1e-5)


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1", " =1"])
def test_names_cannot_become_formulas(name: str, bench: SupplyReport) -> None:
    text = supply_csv(named(bench, name).logs)
    assert text.count("\r\n") == 6
    for row in csv.reader(io.StringIO(text)):
        assert all(cell[:1] not in tuple("=+-@\t\r") for cell in row)


@pytest.mark.parametrize("width", [60, 80, 81, 120, 200])
def test_text_fits_the_terminal(width: int, report: SupplyReport) -> None:
    text = supply_text(report, width, verbose=True)
    assert all(columns(line) <= max(width, 80) for line in text.splitlines())
    assert all(line == line.rstrip() for line in text.splitlines())
    assert "\n\n\n" not in text


def test_the_table_is_folded_and_unfolded(bench: SupplyReport) -> None:
    short, whole = supply_text(bench), supply_text(bench, verbose=True)
    ids = [f"c{n}" for n in range(1, 6)]
    assert [i for i in ids if f" {i} " in short.split("other weather")[0]] == ["c1", "c5"]
    assert "… 3 cues" in short
    assert all(f" {i} " in whole for i in ids)
    assert "…" not in whole


def test_the_text_tells_all_three_parts(bench: SupplyReport) -> None:
    text = supply_text(bench)
    flat = " ".join(text.split())
    assert "full it holds 7.36 Ah" in flat
    assert "Colder: first to fail at" in flat
    assert "takes the supply too low" in flat
    assert "? Not known at -25 °C: colder than min_C, -20 °C (box)." in flat
    late = bench.late[0]
    assert f"box: {late.minutes} min" in flat
    assert "A computed verdict is no permission to fire" in flat


def test_the_text_says_what_is_not_known(unknown: SupplyReport) -> None:
    flat = " ".join(supply_text(unknown).split())
    assert "does not state supply.internal_ohm: no voltage can be computed" in flat
    assert "box: not known: standby_s in the show is not stated" in flat
    assert " ? " in flat


def test_names_cannot_act_on_the_terminal(bench: SupplyReport) -> None:
    text = supply_text(named(bench, f"\x1b[31m{NASTY}"))
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_the_drawing_is_well_formed_and_complete(report: SupplyReport) -> None:
    root = ElementTree.fromstring(supply_svg(report.title, report.logs))
    assert root.get("width") == str(WIDTH)
    texts = ["".join(t.itertext()) for t in root.iter(f"{SVG}text")]
    for log in report.logs:
        assert any(t.startswith(f"{log.box}, {log.supply} supply") for t in texts)
        if log.min_supply_V is not None:
            assert any(f"needs {log.min_supply_V:g} V" in t for t in texts)
    known = [e for log in report.logs for e in log.entries if e.lowest_V is not None]
    uprights = [p for p in root.iter(f"{SVG}path") if p.get("stroke") == "#1f4e9a"]
    assert len(uprights) == len(known) + 1  # and one in the key
    minimum = [p for p in root.iter(f"{SVG}path") if p.get("stroke-dasharray")]
    assert len(minimum) == sum(log.min_supply_V is not None for log in report.logs)


def test_heights_are_voltages(bench: SupplyReport) -> None:
    """Places on the drawing are proportional to the figures."""
    root = ElementTree.fromstring(supply_svg(bench.title, bench.logs))
    (line,) = root.findall(f"{SVG}polyline")
    at = [tuple(float(v) for v in p.split(",")) for p in (line.get("points") or "").split()]
    uprights = [p.get("d") or "" for p in root.iter(f"{SVG}path") if p.get("stroke") == "#1f4e9a"][
        :-1
    ]
    entries = bench.logs[0].entries
    ticks = [
        (float("".join(t.itertext())), float(t.get("y") or 0) - 4.0)
        for t in root.iter(f"{SVG}text")
        if t.get("text-anchor") == "end" and t.get("x") == "62"
    ]
    (low_V, low_at), *_, (high_V, high_at) = ticks
    per_V = (low_at - high_at) / (high_V - low_V)
    scales = []
    for (x, y), d, e in zip(at, uprights, entries, strict=True):
        assert d.startswith(f"M{x:.2f} {y:.2f}V")
        assert e.open_V is not None
        assert e.lowest_V is not None
        assert y == pytest.approx(low_at - (e.open_V - low_V) * per_V, abs=0.02)
        scales.append((float(d.split("V")[1]) - y) / (e.open_V - e.lowest_V))
    assert scales == pytest.approx([per_V] * len(scales), rel=1e-3)
    gaps = [b[0] - a[0] for a, b in pairwise(at)]
    assert max(gaps) == pytest.approx(min(gaps), abs=0.02)  # cues stand a minute apart


def test_a_long_show_has_minutes_and_seconds_under_it(bench: SupplyReport) -> None:
    first = bench.logs[0]
    entries = tuple(evolve(e, switch_s=45.0 * n) for n, e in enumerate(first.entries))
    log = evolve(first, entries=entries)
    assert entries[-1].switch_s >= 180.0
    texts = [
        "".join(t.itertext())
        for t in ElementTree.fromstring(supply_svg("x", (log,))).iter(f"{SVG}text")
    ]
    assert "time of the show (m:s)" in texts
    ticks = [t for t in texts if re.fullmatch(r"-?\d+:\d\d", t)]
    assert len(ticks) > 2
    assert {"0:00", "2:00"} <= set(ticks)


def test_everything_drawn_lies_on_the_sheet(report: SupplyReport) -> None:
    root = ElementTree.fromstring(supply_svg(report.title, report.logs))
    height = float(root.get("height") or 0)
    for line in root.findall(f"{SVG}polyline"):
        for point in (line.get("points") or "").split():
            x, y = (float(v) for v in point.split(","))
            assert 0 <= x <= WIDTH
            assert 0 <= y <= height
    for text in root.iter(f"{SVG}text"):
        assert float(text.get("y") or 0) <= height


def test_names_cannot_break_the_drawing(bench: SupplyReport) -> None:
    bad = named(bench, NASTY)
    logs = tuple(evolve(log, box=NASTY) for log in bad.logs)
    root = ElementTree.fromstring(supply_svg(bad.title, logs))
    assert not list(root.iter(f"{SVG}script"))


def test_nothing_to_draw_is_drawn() -> None:
    ElementTree.fromstring(supply_svg("empty", ()))
    log = supply_logs(one_box())[0]
    root = ElementTree.fromstring(supply_svg("no cue", (evolve(log, entries=()),)))
    assert not root.findall(f"{SVG}polyline")


def test_png(bench: SupplyReport) -> None:
    pytest.importorskip("resvg_py")
    assert svg_to_png(supply_svg(bench.title, bench.logs), zoom=1).startswith(b"\x89PNG")


def test_minutes_are_those_of_the_box_that_lasts_least(bench: SupplyReport) -> None:
    late = bench.late[0]
    assert late.minutes is not None
    sooner = evolve(late, box="other", minutes=late.minutes - 1)
    nobody = evolve(late, box="third", minutes=None, limit="not known", reason="x")
    both = evolve(bench, late=(late, sooner, nobody))
    assert both.minutes_late == (late.minutes - 1, ("third",))
    assert f"All boxes: {late.minutes - 1} min" in " ".join(supply_text(both).split())
