"""The plan of the site."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

from bridgewire.report.wiring.drawing import UNITS_PER_MM
from bridgewire.report.wiring.plan import plan_svg
from bridgewire.report.wiring.plan_rows import lay
from bridgewire.report.wiring.runs import cable_styles, drawn_name, length_text
from bridgewire.report.wiring.site import site_of
from tests.report.wiring.shows import (
    HERON,
    NAMES,
    NASTY,
    SVG,
    assert_sound,
    everything,
    example,
    igniter,
    layout_of,
    overlaps,
    parsed,
    report_of,
    run,
    strip,
    words,
)

FULL = "regatta-night/show"


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("labels", [True, False])
def test_a_plan_is_well_formed_and_complete(name: str, labels: bool) -> None:
    report = example(name)
    layout = layout_of(report)
    svg = plan_svg(report, labels=labels)
    assert_sound(svg)
    told = everything(svg)
    seen = "\n".join(words(svg))
    ids = [*(p.id for p in layout.show.position), *layout.boxes, *layout.parts]
    for ident in ids:
        assert re.search(rf"(?<![\w-]){re.escape(ident)}(?![\w-])", seen), ident
    for i in range(len(layout.show.run)):
        assert drawn_name(layout.show.run[i]) in told
        assert length_text(layout, i) in told
    assert svg == plan_svg(report, labels=labels)


@pytest.mark.parametrize("width_mm", [80.0, 180.0, 277.0])
@pytest.mark.parametrize("name", [n for n in NAMES if n != "jetty-trial"])
def test_no_label_lies_on_another(name: str, width_mm: float) -> None:
    report = example(name)
    assert report.assessment is not None
    site = site_of(layout_of(report), report.assessment.verdicts())
    laid = lay(site, width_mm * UNITS_PER_MM)
    for row in laid.rows:
        assert overlaps(row.areas) == 0
        assert row.areas


def test_the_full_show_names_nearly_all_of_its_places_on_the_plan() -> None:
    report = example(FULL)
    assert report.assessment is not None
    site = site_of(layout_of(report), report.assessment.verdicts())
    assert len(site.places) == 46
    assert len(lay(site, 900.0).numbered) <= 2
    assert len(lay(site, 900.0).rows) == 2


def test_the_size_is_as_asked_and_bounded() -> None:
    root = parsed(plan_svg(example(FULL), width_mm=180.0))
    assert float(root.attrib["width"]) == pytest.approx(180.0 * 96.0 / 25.4, abs=0.1)
    _, _, width, height = (float(v) for v in root.attrib["viewBox"].split())
    assert width == 900.0
    assert height < 2.5 * width
    assert float(root.attrib["height"]) / float(root.attrib["width"]) == pytest.approx(
        height / width, rel=1e-3
    )
    assert len(plan_svg(example(FULL))) < 60_000


@pytest.mark.parametrize("width_mm", [79.9, 2001.0, float("nan"), -1.0])
def test_a_width_out_of_range_is_refused(width_mm: float) -> None:
    with pytest.raises(ValueError, match="80 to 2000 mm"):
        plan_svg(example("midwinter-small"), width_mm=width_mm)


def test_both_directions_have_the_same_scale() -> None:
    """By the lines of the troubled show: run ends are at known coordinates."""
    svg = plan_svg(example("boathouse-troubles"))
    lines = {
        (line[0].text or "").split(":")[0]: [
            tuple(float(v) for v in p.split(",")) for p in line.attrib["points"].split()
        ]
        for line in parsed(svg).iter(f"{SVG}polyline")
    }
    (ax, ay), *_, (bx, by) = lines["teal-1/1 → roof"]  # (2, 0) to (5, 20)
    (cx, cy), *_, (dx, dy) = lines["jetty-1 → jetty-2"]  # (24, 4) to (48, 4)
    scale = (dx - cx) / 24.0
    assert scale > 0.0
    assert abs(bx - ax) == pytest.approx(3.0 * scale, abs=0.2)
    assert abs(by - ay) == pytest.approx(20.0 * scale, abs=0.2)
    assert dy == pytest.approx(cy, abs=0.2)


def test_the_scale_bar_is_to_scale() -> None:
    svg = plan_svg(example("boathouse-troubles"))
    metres = next(w for w in words(svg) if re.fullmatch(r"\d+ m", w) and w == "20 m")
    ticks = [
        e
        for e in parsed(svg).iter(f"{SVG}text")
        if e.attrib.get("text-anchor") == "middle" and e.text in ("0", metres)
    ]
    long = float(ticks[1].attrib["x"]) - float(ticks[0].attrib["x"])
    line = next(
        e
        for e in parsed(svg).iter(f"{SVG}polyline")
        if (e[0].text or "").startswith("jetty-1 → jetty-2")
    )
    ends = [float(p.split(",")[0]) for p in line.attrib["points"].split()]
    assert long / 20.0 == pytest.approx((ends[-1] - ends[0]) / 24.0, rel=0.01)


def test_cables_differ_by_line() -> None:
    styles = cable_styles(layout_of(example("boathouse-troubles")))
    assert len(styles) == 4
    assert len({s.attributes for s in styles.values()}) == 4
    assert len({s.dash for s in styles.values()}) == 4
    assert next(iter(styles)) == "harrowmere:raft-cable"  # least resistance: boldest
    svg = plan_svg(example("boathouse-troubles"))
    for style in styles.values():
        assert style.attributes in svg


def test_what_has_no_coordinates_is_listed(tmp_path: Path) -> None:
    report = report_of(
        tmp_path,
        '[[position]]\nid = "lawn"\nat_m = [3, 4]\n',
        HERON + 'position = "lawn"\n',
        strip("placed", "at_m = [20, 4]"),
        strip("lost"),
        run("heron-1/1", "placed"),
        run("placed", "lost", "length_m = 7\nparallel = 2"),
    )
    seen = words(plan_svg(report))
    place = seen.index("Not placed (no coordinates)")
    assert seen[place + 1] == "strip lost"
    place = seen.index("Runs not placed")
    assert seen[place + 1] == "placed → lost: shore-cable, 7 m, 2 in parallel"
    assert "1 part or run without" not in seen


def test_nothing_with_coordinates_makes_no_plan_but_a_list() -> None:
    seen = words(plan_svg(example("jetty-trial")))
    assert "Nothing has coordinates, so there is no plan to scale." in seen
    assert "strip chain-3" in seen
    assert "mooring → star-3: shore-cable, 20 m" in seen


def test_parts_at_one_place_share_one_label_and_their_run_is_listed() -> None:
    seen = words(plan_svg(example("midwinter-small")))
    here = seen.index("boathouse")
    assert seen[here : here + 3] == ["boathouse", "heron-1", "mooring"]
    assert "heron-1/1 → mooring: 3 m" in seen


def test_parallel_cables_are_told(tmp_path: Path) -> None:
    report = report_of(
        tmp_path,
        HERON + "at_m = [0, 0]\n",
        strip("far", "at_m = [60, 0]"),
        run("heron-1/1", "far", "length_m = 61\nparallel = 2"),
    )
    assert "61 m, 2 in parallel" in words(plan_svg(report))


def test_runs_that_pass_another_place_bow_around_it(tmp_path: Path) -> None:
    report = report_of(
        tmp_path,
        HERON + "at_m = [0, 0]\n",
        strip("near", "at_m = [30, 0]"),
        strip("far", "at_m = [60, 0]"),
        run("heron-1/1", "near"),
        run("heron-1/2", "far", "length_m = 61"),
    )
    lines = {
        (e[0].text or "").split(":")[0]: len(e.attrib["points"].split())
        for e in parsed(plan_svg(report)).iter(f"{SVG}polyline")
    }
    assert lines["heron-1/1 → near"] == 2
    assert lines["heron-1/2 → far"] > 8


def test_a_run_does_not_pass_under_the_mark_of_another_box() -> None:
    """Else the run of the first box would look like one of the second, 2 m beside it."""
    svg = plan_svg(example("boathouse-troubles"))
    lines = {
        (e[0].text or "").split(":")[0]: np.array(
            [[float(v) for v in p.split(",")] for p in e.attrib["points"].split()]
        )
        for e in parsed(svg).iter(f"{SVG}polyline")
    }
    teal = lines["teal-1/1 → roof"][0]
    run_of_heron = lines["heron-1/1 → jetty-1"]
    t = np.linspace(0.0, len(run_of_heron) - 1.0, 400)
    at = np.arange(len(run_of_heron))
    xs, ys = (np.interp(t, at, run_of_heron[:, k]) for k in (0, 1))
    assert float(np.hypot(xs - teal[0], ys - teal[1]).min()) > 7.0


def test_everything_at_one_point(tmp_path: Path) -> None:
    report = report_of(
        tmp_path,
        HERON + "at_m = [5, 5]\n",
        *(strip(f"s{n}", "at_m = [5, 5]") for n in range(20)),
        *(run("heron-1/1" if n == 0 else f"s{n - 1}", f"s{n}") for n in range(8)),
    )
    svg = plan_svg(report)
    assert_sound(svg)
    told = next(w for w in words(svg) if w.startswith("[1] "))
    assert told.startswith("[1] box heron-1; strips s0, s1, s2, ")
    assert all(f"s{n}" in "\n".join(words(svg)) for n in range(20))


def test_a_long_shallow_front_is_cut_into_rows(tmp_path: Path) -> None:
    strips = [strip(f"strip-number-{n:02d}", f"at_m = [{20 * n}, 0]") for n in range(30)]
    report = report_of(tmp_path, HERON + "at_m = [0, -3]\n", *strips)
    svg = plan_svg(report)
    cut = [w for w in words(svg) if w.startswith("row ")]
    assert len(cut) >= 2
    assert cut[0].startswith(f"row 1 of {len(cut)}: x = 0 to ")
    assert cut[-1].endswith("to 580 m")
    assert_sound(svg)


def test_a_deep_narrow_site_is_not_taller_than_the_page(tmp_path: Path) -> None:
    report = report_of(
        tmp_path,
        HERON + "at_m = [0, 0]\n",
        strip("top", "at_m = [0, 500]"),
        run("heron-1/1", "top", "length_m = 520"),
    )
    _, _, width, height = parsed(plan_svg(report)).attrib["viewBox"].split()
    assert float(height) < 1.6 * float(width)


def test_hostile_names_stay_text(tmp_path: Path) -> None:
    long = "x" * 119
    report = report_of(
        tmp_path,
        f'[[position]]\nid = "{NASTY}"\nat_m = [0, 0]\n',
        HERON + f'position = "{NASTY}"\n',
        strip("=1+1", "at_m = [9, 0]"),
        strip("灯\u202e\U0001f386", "at_m = [0, 9]"),
        strip(long),
        strip("y" * 120, "at_m = [9, 9]"),
        run("heron-1/1", "=1+1"),
        run("heron-1/2", long),
        igniter(NASTY, "=1+1/1"),
    )
    svg = plan_svg(report)
    assert_sound(svg)
    assert "\u202e" not in svg
    assert "=1+1" in words(svg)
    assert any(w.startswith("灯") for w in words(svg))
    assert max(len(w) for w in words(svg)) <= 150


def test_a_report_without_an_assessment_is_refused() -> None:
    with pytest.raises(ValueError, match="without an assessment"):
        plan_svg(evolve(example("midwinter-small"), assessment=None))
