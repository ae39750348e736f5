"""The wiring of an output as a tree."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.report.wiring.runs import drawn_name
from bridgewire.report.wiring.tree import MOST_BYTES, tree_svg
from tests.report.wiring.shows import (
    HERON,
    NAMES,
    NASTY,
    assert_sound,
    chain,
    cue,
    everything,
    example,
    hostile,
    igniter,
    in_order,
    layout_of,
    parsed,
    report_of,
    run,
    strip,
    uses,
    words,
)


@pytest.mark.parametrize("name", NAMES)
def test_every_part_run_and_igniter_is_in_the_tree_of_its_output(name: str) -> None:
    report = example(name)
    layout = layout_of(report)
    outputs = {p.output for p in layout.parts.values() if p.output is not None}
    trees = {o: tree_svg(report, o) for o in sorted(outputs)}
    for svg in trees.values():
        assert_sound(svg)
        assert len(svg.encode()) <= MOST_BYTES
    told = {o: everything(svg) for o, svg in trees.items()}
    seen = {o: words(svg) for o, svg in trees.items()}
    for part in layout.parts.values():
        if part.output is None:
            assert not any(part.id in lines for lines in seen.values())
            continue
        assert part.id in seen[part.output]
        assert part.run is not None
        assert drawn_name(layout.show.run[part.run]) in seen[part.output]
    for placed in layout.igniters:
        if placed.part.output is not None:
            assert f"{placed.way}: {placed.id}" in told[placed.part.output]


def test_a_run_tells_cable_conductors_and_resistance() -> None:
    """The band by hand: 2 × 18 m × (0.0173 to 0.0195) Ω/m, warmed or cooled from 20 °C."""
    lines = words(tree_svg(example("boathouse-troubles"), ("teal-1", 1)))
    assert in_order(lines, ["teal-1/1 → roof", "25 m raft-cable"])
    band = next(w for w in lines if w.startswith("1 feed + 2 return, "))
    low, high = (float(v) for v in band.split(", ")[1].removesuffix(" Ω").split("–"))
    # 25 m feed and half of that for two returns; copper, 0.393 % per kelvin, -2 to 12 °C
    assert low == pytest.approx(37.5 * 0.0173 * (1 - 22 * 0.00393), rel=2e-3)
    assert high == pytest.approx(37.5 * 0.0195 * (1 - 8 * 0.00393), rel=2e-3)


def test_parallel_cables_share_the_current(tmp_path: Path) -> None:
    report = report_of(
        tmp_path, HERON, strip("s"), run("heron-1/1", "s", "length_m = 40\nparallel = 3")
    )
    lines = words(tree_svg(report, ("heron-1", 1)))
    assert "40 m, 3 in parallel shore-cable" in lines
    assert any(w.startswith("3 feed + 3 return, ") for w in lines)
    assert "no igniters" in lines


def test_verdicts_are_told_by_mark_and_word() -> None:
    svg = tree_svg(example("jetty-trial"), ("heron-1", 1))
    assert {"sure", "marginal", "no"} <= set(uses(svg))
    lines = words(svg)
    assert {"1: near", "1: middle, marginal", "1: far, no"} <= set(lines)
    lines = words(tree_svg(example("boathouse-troubles"), ("heron-1", 2)))
    assert "2: terrace gerb, no cue" in lines


def test_a_show_without_cues(tmp_path: Path) -> None:
    report = report_of(tmp_path, *chain(3)[:-1])
    svg = tree_svg(report, ("heron-1", 1))
    assert "1: i3, no cue" in words(svg)
    assert not set(uses(svg)) & {"sure", "marginal", "no", "unknown"}


def test_an_output_with_nothing_on_it() -> None:
    svg = tree_svg(example("midwinter-small"), ("heron-1", 8))
    assert "Nothing is wired to this output." in words(svg)
    assert_sound(svg)


def crowded(folder: Path, per_way: int) -> str:
    strips, ways = 8, 16
    pieces = [HERON, '[[splitter]]\nid = "m1"\nkind = "mooring-4"\n', run("heron-1/1", "m1")]
    for s in range(strips):
        pieces.append(strip(f"strip-{s}", kind="jetty-strip-16"))
        pieces.append(run("m1" if s < 4 else f"strip-{s - 4}", f"strip-{s}"))
        pieces += [
            igniter(f"a rather long name of igniter {s} {w} {n}", f"strip-{s}/{w}")
            for w in range(1, ways + 1)
            for n in range(per_way)
        ]
    return tree_svg(report_of(folder, *pieces, cue("x", "heron-1/1/1")), ("heron-1", 1))


@pytest.mark.parametrize("per_way", [1, 3])
def test_the_largest_output_stays_bounded(tmp_path: Path, per_way: int) -> None:
    svg = crowded(tmp_path, per_way)
    assert len(svg.encode()) <= MOST_BYTES
    assert_sound(svg)
    root = parsed(svg)
    _, _, width, height = (float(v) for v in root.attrib["viewBox"].split())
    assert width == 900.0
    assert height < 1400.0  # one page of A4, 280 mm
    assert all(f"strip-{s}" in words(svg) for s in range(8))
    if per_way == 1:
        assert sum(": a rather lo" in w for w in words(svg)) == 8 * 16
    else:
        assert "Too many igniters to name here; each way says how many." in words(svg)
        assert sum(w.split(": ")[-1].startswith("3 igniters") for w in words(svg)) == 8 * 16


def test_counts_and_strings_are_told(tmp_path: Path) -> None:
    report = report_of(
        tmp_path,
        HERON,
        strip("s"),
        run("heron-1/1", "s"),
        igniter("row", "s/1", 'count = 3\nconnection = "series"'),
        igniter("one", "s/2", 'string = "x"'),
    )
    lines = words(tree_svg(report, ("heron-1", 1)))
    assert "1: row ×3 series, no cue" in lines
    assert "2: one, string x, no cue" in lines


def test_unknown_lengths_are_said(tmp_path: Path) -> None:
    report = report_of(tmp_path, HERON, strip("s"), run("heron-1/1", "s", ""))
    lines = words(tree_svg(report, ("heron-1", 1)))
    assert "length not known shore-cable" in lines
    assert "1 feed + 1 return, Ω not known" in lines


def test_hostile_names_stay_text(tmp_path: Path) -> None:
    report = hostile(
        tmp_path,
        ("z" * 120, "=1+1/1"),
        ("<svg onload=alert(1)>", "=1+1/2"),
        ("\u202egnp.exe", "=1+1/3"),
    )
    svg = tree_svg(report, (NASTY, 1))
    assert_sound(svg)
    assert "\u202e" not in svg
    assert "2: <svg onload=alert(1)>, no cue" in everything(svg)


def test_misuse_is_refused() -> None:
    report = example("jetty-trial")
    with pytest.raises(KeyError):
        tree_svg(report, ("heron-9", 1))
    with pytest.raises(ValueError, match="without an assessment"):
        tree_svg(evolve(report, assessment=None), ("heron-1", 1))
