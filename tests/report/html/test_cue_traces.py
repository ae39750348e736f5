"""The curves of the page against those that `bridgewire.timeline.trace` computes one by one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bridgewire.api import check
from bridgewire.report.html.anchors import Anchors
from bridgewire.report.html.cue_traces import cue_curves
from bridgewire.report.html.polyline import path_data, simplified
from bridgewire.report.html.shelf import Shelf
from bridgewire.report.html.trace_drawing import draw_traces
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.trace import trace_cue
from tests.report.html.shows import SMALL, TROUBLES, report


def assessment_of(file: Path) -> Assessment:
    """Everything computed about a show."""
    found = report(file).assessment
    assert found is not None
    return found


@pytest.mark.parametrize("file", [SMALL, TROUBLES])
def test_curves_agree_with_single_traces(file: Path) -> None:
    assessment = assessment_of(file)
    found = cue_curves(assessment)
    assert found
    compared = 0
    for index, cue in found.items():
        single = trace_cue(assessment, assessment.cues[index].id)
        for curve, other in zip(cue.curves, single.igniters, strict=True):
            assert curve.id == other.id
            if curve.light_s is not None:
                assert other.light_s == pytest.approx(curve.light_s, rel=2e-4)
            if curve.part_s is not None:
                assert other.part_s == pytest.approx(curve.part_s, rel=2e-4)
            assert float(curve.current_A.max(initial=0.0)) == pytest.approx(
                float(max(other.current_A.max(), other.before_A.max())), rel=1e-3, abs=1e-9
            )
            # The reference has steps of its own: compare at the times that both have.
            for row, time in enumerate(single.time_s):
                here = np.flatnonzero(np.abs(curve.time_s - time) < 1e-7 * single.time_s[-1])
                if here.size:
                    assert curve.rise[here[0]] == pytest.approx(other.rise[row], abs=2e-3)
                    compared += 1
    assert compared >= 16


def test_a_repeated_cue_is_followed_over_its_pulses(tmp_path: Path) -> None:
    text = SMALL.read_text(encoding="utf-8")
    assert text.count("pulse_s = ") >= 1
    show = tmp_path / "show.toml"
    show.write_text(
        text.replace("pulse_s = ", "repeat = { times = 6, gap_s = 30 }\npulse_s = ", 1),
        encoding="utf-8",
    )
    assessment = check(show).assessment
    assert assessment is not None
    repeated = [c for c in cue_curves(assessment).values() if c.pulses_in_all == 7]
    assert len(repeated) == 1
    (cue,) = repeated
    assert len(cue.pulses_s) == 4
    for curve in cue.curves:
        assert (np.diff(curve.time_s) >= 0.0).all()
        assert curve.time_s[-1] == pytest.approx(cue.pulses_s[-1][1])
    drawing = draw_traces(cue, Shelf(Anchors()))
    assert drawing is not None


def test_alike_igniters_share_one_curve() -> None:
    assessment = assessment_of(SMALL)
    cue = next(c for c in cue_curves(assessment).values() if len(c.curves) == 2)
    drawing = draw_traces(cue, Shelf(Anchors()))
    assert drawing is not None
    assert [k.names for k in drawing.keys] == [", ".join(c.id for c in cue.curves)]


def test_different_igniters_have_curves_of_their_own() -> None:
    assessment = assessment_of(TROUBLES)
    index = next(c.cue for c in assessment.cues if c.id == "fountains")
    drawing = draw_traces(cue_curves(assessment)[index], Shelf(Anchors()))
    assert drawing is not None
    assert [k.names for k in drawing.keys] == ["fountain 1", "fountain 2", "fountain 3"]


def test_simplifying_keeps_within_the_tolerance() -> None:
    x = np.linspace(0.0, 100.0, 400)
    y = 50.0 * np.exp(-x / 20.0)
    keep = simplified(x, y, 0.5)
    assert keep.sum() < 20
    assert np.abs(np.interp(x, x[keep], y[keep]) - y).max() <= 1.5


def test_simplifying_keeps_upright_jumps() -> None:
    x = np.array([0.0, 0.0, 5.0, 10.0, 10.0])
    y = np.array([0.0, 8.0, 8.0, 8.0, 0.0])
    assert simplified(x, y, 0.5).tolist() == [True, True, False, True, True]
    assert path_data(x, y) == "M0 0l0 8 10 0 0 -8"
