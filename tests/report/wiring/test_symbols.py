"""Symbols and the key; small drawings kept as they are; other readers of SVG."""

from __future__ import annotations

import re

import pytest

from bridgewire.report.png import svg_to_png
from bridgewire.report.wiring.circuit import way_svg
from bridgewire.report.wiring.legend import legend_svg
from bridgewire.report.wiring.plan import plan_svg
from bridgewire.report.wiring.symbols import NAMES, STYLE, VERDICT_SYMBOL, definitions, symbol_defs
from bridgewire.report.wiring.tree import tree_svg
from bridgewire.timeline.outcomes import Verdict
from tests.report.regression import assert_unchanged
from tests.report.wiring.shows import (
    SVG,
    assert_sound,
    example,
    parsed,
    uses,
    words,
)


def test_all_symbols_are_defined_once() -> None:
    ids = [e.attrib["id"] for e in parsed(symbol_defs()).iter() if "id" in e.attrib]
    assert sorted(ids) == sorted(f"bw-{n}" for n in NAMES)
    assert len(symbol_defs()) < 4000


def test_a_drawing_carries_only_what_it_asks_for() -> None:
    assert definitions([]) == f"{STYLE}<defs></defs>"
    assert 'id="bw-dot"' not in definitions(["sure"])


def test_verdicts_differ_by_shape() -> None:
    assert set(VERDICT_SYMBOL) == set(Verdict)
    shapes = {re.sub(r"id=\S+", "", definitions([n])) for n in VERDICT_SYMBOL.values()}
    assert len(shapes) == len(Verdict)


def test_no_drawing_names_a_colour_but_black_white_and_grey() -> None:
    report = example("boathouse-troubles")
    drawings = [
        symbol_defs(),
        legend_svg(),
        plan_svg(report),
        tree_svg(report, ("heron-1", 1)),
        way_svg(report, ("heron-1", 1, 4), report.cues[0]),
    ]
    for svg in drawings:
        assert set(re.findall(r"#[0-9a-f]{3,6}\b", svg)) <= {"#fff", "#999"}
        for prop in re.findall(r"var\((--[a-z]+)", svg):
            assert prop in ("--a", "--ink", "--paper", "--faint", "--mark")


def test_properties_that_not_every_reader_knows_are_behind_supports() -> None:
    """Readers that do not know custom properties take a fill of ``var(...)`` for black."""
    before, _, _ = STYLE.partition("@supports")
    assert "var(" not in before
    report = example("jetty-trial")
    svg = way_svg(report, ("heron-1", 1, 1), report.cues[0])
    assert "var(" not in svg.replace(STYLE, "")


def test_the_key_shows_every_mark() -> None:
    svg = legend_svg()
    assert_sound(svg)
    assert set(NAMES) - set(uses(svg)) == {"run", "rung", "rungd"}
    seen = " ".join(words(svg))
    for told in ("IEC 60617", "We know of no symbol there for an igniter", "no permission to fire"):
        assert told in seen
    for verdict in Verdict:
        assert f"{verdict.value}: " in seen
    assert not list(parsed(legend_svg(with_symbols=False)).iter(f"{SVG}style"))


def test_drawings_become_pictures() -> None:
    """Through a reader of SVG that knows no custom properties; paper stays lighter than ink."""
    pytest.importorskip("resvg_py")
    report = example("jetty-trial")
    for svg in (
        legend_svg(),
        plan_svg(report),
        tree_svg(report, ("heron-1", 2)),
        way_svg(report, ("heron-1", 2, 1), report.cues[1]),
    ):
        assert svg_to_png(svg).startswith(b"\x89PNG")


@pytest.mark.parametrize("name", ["plan", "tree", "way"])
def test_regression_drawings(name: str) -> None:
    report = example("midwinter-small")
    drawn = {
        "plan": lambda: plan_svg(report),
        "tree": lambda: tree_svg(report, ("heron-1", 1)),
        "way": lambda: way_svg(report, ("heron-1", 1, 1), report.cues[0]),
    }[name]()
    assert_unchanged(f"wiring-{name}.svg", drawn.replace("><", ">\n<"))
