"""Light-time bands and tornado plots."""

from __future__ import annotations

import math
import re
from typing import Any
from xml.etree import ElementTree

import pytest
from attrs import evolve

from bridgewire.report.bands_svg import ROWS, bands_svg
from bridgewire.report.tornado_svg import MOST, tornado_svg
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Times, Verdict
from bridgewire.uncertainty.tornado import Bar, Tornado
from tests.report.fixtures import small_report

SVG = "{http://www.w3.org/2000/svg}"
BARS = (
    Bar("igniter batch: threshold", 0.9, 1.6, 1),
    Bar("contacts", 1.1, 1.4, 12),
    Bar("ambient", 1.19, 1.22, 1),
)
PLOT = Tornado("Regatta Night", "cue one", "far comet", 3.0, 1.2, BARS)


def assessment() -> Assessment:
    made = small_report().assessment
    assert made is not None
    return made


def texts(svg: str) -> list[str]:
    return [e.text or "" for e in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def with_lights(*lights: Times, **more: Any) -> Assessment:
    """The small show with one cue whose igniters have other light times."""
    made = assessment()
    cue = next(c for c in made.cues if len(c.meant) >= len(lights))
    igniters = tuple(
        evolve(i, light=light, **more) for i, light in zip(cue.meant, lights, strict=False)
    )
    cues = [c if c is not cue else evolve(c, igniters=igniters) for c in made.cues]
    return Assessment(made.layout, made.schedule, made.simulation, tuple(cues))


def cue_of(made: Assessment, count: int) -> CueOutcome:
    return next(c for c in made.cues if len(c.meant) == count)


def test_every_cue_and_igniter_is_on_some_page() -> None:
    made = assessment()
    said = [t for page in bands_svg(made) for t in texts(page)]
    for cue in made.cues:
        assert any(t.startswith(f"{cue.id[:10]}") for t in said), cue.id
        for igniter in cue.meant:
            assert any(t[:8] == igniter.id[:8] for t in said), igniter.id


def test_large_show_is_paged_and_a_page_has_room() -> None:
    made = assessment()
    cue = cue_of(made, 1)
    many = [evolve(cue, id=f"cue {n}", switch_s=float(n)) for n in range(600)]
    pages = bands_svg(Assessment(made.layout, made.schedule, made.simulation, tuple(many)))
    assert len(pages) == math.ceil(600 / (ROWS // 2))
    assert "page 1 of " in pages[0]
    names = [t for page in pages for t in texts(page) if re.match(r"cue \d+ \(", t)]
    assert [n.split(" (")[0] for n in names] == [f"cue {n}" for n in range(600)]
    assert all(ElementTree.fromstring(p).get("height") == "1180" for p in pages[:-1])


def test_cues_are_told_by_the_same_clock_as_in_the_table_of_cues() -> None:
    made = assessment()
    cue = cue_of(made, 1)
    cues = tuple(
        evolve(cue, id=f"c{n}", switch_s=s) for n, s in enumerate((-2.0, 59.999, 3725.125))
    )
    (page,) = bands_svg(Assessment(made.layout, made.schedule, made.simulation, cues))
    named = [t for t in texts(page) if re.match(r"c\d \(", t)]
    assert named == ["c0 (-0:02.00)", "c1 (1:00.00)", "c2 (1:02:05.13)"]


def test_cue_longer_than_a_page_goes_on_under_its_name() -> None:
    made = assessment()
    cue = cue_of(made, 1)
    long = evolve(
        cue, id="front", igniters=tuple(evolve(cue.meant[0], id=f"i{n}") for n in range(130))
    )
    pages = bands_svg(Assessment(made.layout, made.schedule, made.simulation, (long,)))
    assert len(pages) == 3
    assert all(any(t.startswith("front") for t in texts(p)) for p in pages)
    names = [t for p in pages for t in texts(p) if re.fullmatch(r"i\d+", t)]
    assert names == [f"i{n}" for n in range(130)]


@pytest.mark.parametrize(
    ("light", "more", "words", "bars"),
    [
        (Times(0.01, 0.02, 0.05), {}, "10.0, 20.0, 50.0 ms", 1),
        (Times(0.01, 0.02, math.inf), {}, "20.0 ms typical, or never", 1),
        (Times(0.01, math.inf, math.inf), {}, "10.0 ms at best, or never", 1),
        (Times(math.inf, math.inf, math.inf), {}, "does not light", 0),
        (Times(0.01, 0.02, 0.05), {"verdict": Verdict.UNKNOWN}, "not known", 0),
        (Times(0.0, 0.0, 0.0), {"lit_before": True}, "lit before", 0),
    ],
)
def test_what_is_said_of_an_igniter(
    light: Times, more: dict[str, Any], words: str, bars: int
) -> None:
    made = with_lights(light, **more)
    cue = next(c for c in made.cues if any(i.light == light for i in c.meant))
    (page,) = bands_svg(made, cue.cue)
    assert any(t.startswith(words) for t in texts(page)), texts(page)
    drawn = [e for e in ElementTree.fromstring(page).iter(f"{SVG}rect") if e.get("height") == "8"]
    assert len(drawn) == bars + 2  # two stand in the key


def test_band_reaches_from_earliest_to_latest() -> None:
    light = Times(0.1, 0.2, 0.4)
    made = with_lights(light)
    cue = next(c for c in made.cues if any(i.light == light for i in c.meant))
    (page,) = bands_svg(made, cue.cue)
    ticks = {
        float(m[2]): float(m[1])
        for m in re.finditer(r'x="([\d.]+)" y="[\d.]+" text-anchor="middle">([\d.]+)<', page)
    }
    zero, top = min(ticks), max(ticks)
    per_s = (ticks[top] - ticks[zero]) / (top - zero)
    bar = next(
        e for e in ElementTree.fromstring(page).iter(f"{SVG}rect") if e.get("fill") == "#606060"
    )
    assert float(bar.get("x", "0")) == pytest.approx(ticks[zero] + 0.1 * per_s, abs=0.1)
    assert float(bar.get("width", "0")) == pytest.approx(0.3 * per_s, abs=0.1)


def test_tornado_carries_names_and_ends() -> None:
    svg = tornado_svg(PLOT)
    said = texts(svg)
    for words in ("igniter batch: threshold", "contacts (12)", "0.900", "1.60", "typical 1.20"):
        assert words in said
    assert "1: does not light below" in said
    hatched = [
        e for e in ElementTree.fromstring(svg).iter(f"{SVG}rect") if e.get("fill") == "url(#hatch)"
    ]
    widths = [float(e.get("width", "0")) for e in hatched[:3]]
    assert widths[0] / widths[1] == pytest.approx(3.0, rel=0.01)  # 0.3 and 0.1 below typical
    assert widths == sorted(widths, reverse=True)


def test_margin_one_far_away_is_told_not_drawn() -> None:
    far = evolve(PLOT, margin=9.0, bars=(Bar("ambient", 8.9, 9.1, 1),))
    said = texts(tornado_svg(far))
    assert "does not light below 1, far from here" in said


def test_cause_that_only_lowers_is_hatched_throughout() -> None:
    odd = evolve(PLOT, bars=(Bar("other igniters", 0.8, 1.2, 3),))
    rects = [
        e
        for e in ElementTree.fromstring(tornado_svg(odd)).iter(f"{SVG}rect")
        if e.get("height") == "18"
    ]
    assert len(rects) == 1
    assert rects[0].get("fill") == "url(#hatch)"


def test_no_bars_and_too_many_bars() -> None:
    assert "no uncertainty changes the margin" in texts(tornado_svg(evolve(PLOT, bars=())))
    many = evolve(PLOT, bars=tuple(Bar(f"b{n}", 1.1, 1.3, 1) for n in range(MOST + 2)))
    said = texts(tornado_svg(many))
    assert sum(bool(re.fullmatch(r"b\d+", t)) for t in said) == MOST
    assert any(t.startswith("2 further uncertainties not drawn") for t in said)


def test_strange_names_are_escaped() -> None:
    drawing = tornado_svg(evolve(PLOT, cue="<&>\x1b", igniter='"'))
    assert "<&>" in "".join(ElementTree.fromstring(drawing).itertext())
    assert "\x1b" not in drawing
