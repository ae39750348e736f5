"""What a trace refuses, and what it tells the person who asked."""

from __future__ import annotations

import pytest

from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.trace import MAX_ROWS, TraceError, trace_cue
from tests.behaviours.bench import chain


@pytest.fixture(scope="module")
def two() -> Assessment:
    return chain(2, 5.0, 2.0)


def test_a_misspelt_cue_is_suggested(two: Assessment) -> None:
    with pytest.raises(TraceError, match=r"no cue 'frist' in this show; did you mean 'first'\?"):
        trace_cue(two, "frist")
    with pytest.raises(TraceError, match=r"no cue '' in this show$"):
        trace_cue(two, "")


def test_an_igniter_elsewhere_is_told_with_those_on_the_way(two: Assessment) -> None:
    with pytest.raises(TraceError, match="on it: s1, s2"):
        trace_cue(two, "first", igniters=["s9"])


@pytest.mark.parametrize("step_s", [0.0, -1.0, float("nan")])
def test_a_step_that_is_none(two: Assessment, step_s: float) -> None:
    with pytest.raises(TraceError, match="the step must be above 0 s"):
        trace_cue(two, "first", step_s=step_s)


def test_a_step_too_fine_is_told_with_one_that_does(two: Assessment) -> None:
    # 2 s of pulse and a quarter of it after: 2.5 s in at most 50,000 rows.
    with pytest.raises(TraceError, match=r"step of 0.00100 ms over 2.50 s .* take 0.0500 ms or m"):
        trace_cue(two, "first", step_s=1e-6)
    assert MAX_ROWS * 0.05e-3 >= 2.5
