"""Traces against closed forms, against the check itself, and against themselves."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import IgniterOutcome
from bridgewire.timeline.trace import CORNERS, CueTrace, TraceError, nice_step_s, trace_cue
from tests.report.fixtures import small_report
from tests.report.trace_shows import assessed, cue, igniter


def at(trace: CueTrace, time_s: float) -> int:
    """Row of a time that must be there."""
    row = int(np.argmin(np.abs(trace.time_s - time_s)))
    assert abs(trace.time_s[row] - time_s) < 1e-9
    return row


def test_rise_at_constant_current_follows_the_closed_form(tmp_path: Path) -> None:
    # L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961): x = (I/I0)^2 (1 - exp(-t/tau)), so that
    # x = 1 at t = -tau ln(1 - (I0/I)^2); afterwards the wire cools with the same tau.
    a = assessed(tmp_path, "steady", igniter("one", "near/1", "bridge"), cue("c", 1, 5.0, 0.024))
    trace = trace_cue(a, "c", step_s=0.001)
    (one,) = trace.igniters
    ratio = (0.6 / 0.4) ** 2
    assert one.light_s == pytest.approx(-0.02 * math.log(1 - 1 / ratio), rel=1e-5)
    assert one.part_s == pytest.approx(-0.02 * math.log(1 - 1.5 / ratio), rel=1e-5)
    parts = one.part_s
    assert parts is not None
    for time, rise in zip(trace.time_s, one.rise, strict=True):
        if time <= parts:
            assert rise == pytest.approx(ratio * (1 - math.exp(-time / 0.02)), abs=2e-5)
        else:
            assert rise == pytest.approx(1.5 * math.exp(-(time - parts) / 0.02), abs=2e-5)


def test_current_jumps_where_something_switches(tmp_path: Path) -> None:
    a = assessed(tmp_path, "steady", igniter("one", "near/1", "bridge"), cue("c", 1, 5.0, 0.1))
    trace = trace_cue(a, "c", step_s=0.01)
    (one,) = trace.igniters
    start = at(trace, 0.0)
    assert one.before_A[start] == 0.0
    assert one.current_A[start] == pytest.approx(0.6, rel=1e-6)
    assert one.part_s is not None
    part = at(trace, round(one.part_s, 10))
    assert one.before_A[part] == pytest.approx(0.6, rel=1e-6)
    assert one.current_A[part] == pytest.approx(0.0, abs=1e-9)
    assert one.state[part - 1] in ("closed", "unlit")
    assert one.state[part] == "open"
    assert one.light_s is not None
    assert one.state[at(trace, round(one.light_s, 10))] == "closed"


def test_a_capacitor_discharges_exponentially(tmp_path: Path) -> None:
    # Closed form: I = (V0 / R) exp(-t / R C) into a fixed resistance.
    a = assessed(tmp_path, "capacitor", igniter("one", "near/1", "bridge"), cue("c", 1, 5.0, 0.001))
    trace = trace_cue(a, "c", step_s=2e-6)
    (one,) = trace.igniters
    resistance = 40.0 / one.current_A[0]
    parted = one.part_s if one.part_s is not None else 0.001
    rows = trace.time_s < min(parted, 0.001) - 1e-9
    assert rows.sum() > 10
    expected = 40.0 / resistance * np.exp(-trace.time_s[rows] / (resistance * 0.001))
    np.testing.assert_allclose(one.current_A[rows], expected, rtol=2e-5)
    fallen = 40.0 * np.exp(-trace.time_s[rows] / (resistance * 0.001)) - 0.5 * expected
    np.testing.assert_allclose(trace.supply_V[rows], fallen, rtol=2e-5)


def test_what_earlier_cues_left_is_in_the_trace(tmp_path: Path) -> None:
    a = assessed(
        tmp_path,
        "battery",
        igniter("near one", "near/1", "wire"),
        igniter("far one", "far/1", "wire"),
        cue("first", 1, 5.0, 0.4),
        cue("again", 1, 6.0, 1.0),
    )
    first = trace_cue(a, "first", step_s=0.01)
    again = trace_cue(a, "again", step_s=0.01)
    near, far = again.igniters
    assert first.igniters[0].state[-1] == "open"
    assert near.state[0] == "open"
    assert not near.current_A.any()
    # tau = C / gamma = 3 s; the second cue begins 0.6 s after the end of the first pulse.
    left = first.igniters[1].rise[at(first, 0.4)]
    assert 0.05 < left < 1.0
    assert far.rise[0] == pytest.approx(left * math.exp(-0.6 / 3.0), rel=1e-4)
    assert far.light_s is not None
    alone = assessed(
        tmp_path,
        "battery",
        igniter("far one", "far/1", "wire"),
        cue("again", 1, 6.0, 1.0),
    )
    (cold,) = trace_cue(alone, "again").igniters
    assert cold.light_s is not None
    assert far.light_s < cold.light_s


@pytest.mark.parametrize("corner", ["typical", "slow", "fast"])
def test_a_trace_tells_the_same_times_as_the_corners(corner: str) -> None:
    report = small_report()
    assert report.assessment is not None
    corners = assess(report.assessment.layout)
    outcome = next(c for c in corners.cues if c.id.startswith("three"))
    for meant in outcome.meant:
        trace = trace_cue(
            report.assessment, outcome.id, igniters=[meant.id], corner=CORNERS[corner]
        )
        (traced,) = trace.igniters
        expected = times_of(meant, corner)
        light = math.inf if traced.light_s is None else traced.light_s
        assert light == pytest.approx(expected, rel=2e-4)


def times_of(igniter_outcome: IgniterOutcome, corner: str) -> float:
    light = igniter_outcome.light
    return {"typical": light.typical, "slow": light.latest, "fast": light.earliest}[corner]


def test_samples_do_not_depend_on_the_step(tmp_path: Path) -> None:
    entries = (
        igniter("near one", "near/1", "wire"),
        igniter("far one", "far/1", "wire"),
        cue("c", 1, 5.0, 2.0),
    )
    a = assessed(tmp_path, "battery", *entries)
    coarse, fine = trace_cue(a, "c", step_s=0.1), trace_cue(a, "c", step_s=0.02)
    for time in np.arange(0.0, 2.01, 0.1):
        i, k = at(coarse, round(float(time), 9)), at(fine, round(float(time), 9))
        for one, other in zip(coarse.igniters, fine.igniters, strict=True):
            assert one.rise[i] == pytest.approx(other.rise[k], abs=1e-5)
            assert one.current_A[i] == pytest.approx(other.current_A[k], abs=1e-5)


def test_temperature_is_that_of_the_class_at_ignition() -> None:
    assessment = small_report().assessment
    assert assessment is not None
    for corner, lit in (("typical", 700.0), ("slow", 750.0), ("fast", 650.0)):
        trace = trace_cue(
            assessment,
            "three comets on the jetty",
            igniters=["comet near"],
            corner=CORNERS[corner],
        )
        (near,) = trace.igniters
        assert near.lights_at_C == pytest.approx(lit)
        assert near.light_s is not None
        assert near.temperature_C is not None
        row = int(np.argmin(np.abs(trace.time_s - near.light_s)))
        assert near.temperature_C[row] == pytest.approx(lit, abs=0.05)


def test_overlapping_pulses_and_sneak_paths_are_followed(tmp_path: Path) -> None:
    a = assessed(
        tmp_path,
        "grid",
        *(igniter(f"w{n}", f"near/{n}", "wire") for n in (1, 2, 3, 4)),
        cue("one", 1, 5.0, 1.0),
        cue("two", 4, 5.5, 1.0),
    )
    for name, ident in (("one", "w1"), ("two", "w4")):
        outcome = next(c for c in a.cues if c.id == name)
        (meant,) = outcome.meant
        (traced,) = trace_cue(a, name).igniters
        assert traced.id == ident
        light = math.inf if traced.light_s is None else traced.light_s
        assert light == pytest.approx(meant.light.typical, rel=2e-4)


def test_repeated_pulses_are_one_trace_with_cooling_between(tmp_path: Path) -> None:
    a = assessed(
        tmp_path,
        "battery",
        igniter("far one", "far/1", "wire"),
        cue("c", 1, 5.0, 0.05, "repeat = { times = 2, gap_s = 0.1 }"),
    )
    trace = trace_cue(a, "c", step_s=0.01)
    (one,) = trace.igniters
    assert [p[0] for p in trace.pulses_s] == pytest.approx([0.0, 0.15, 0.3])
    end, later = one.rise[at(trace, 0.05)], one.rise[at(trace, 0.14)]
    assert later == pytest.approx(end * math.exp(-0.09 / 3.0), rel=1e-6)
    assert one.current_A[at(trace, 0.1)] == 0.0
    assert np.all(np.diff(trace.time_s) > 0)


def test_times_rise_and_events_have_a_row(tmp_path: Path) -> None:
    a = assessed(tmp_path, "battery", igniter("one", "near/1", "wire"), cue("c", 1, 5.0, 1.0))
    trace = trace_cue(a, "c")
    assert np.all(np.diff(trace.time_s) > 0)
    (one,) = trace.igniters
    for event in (one.light_s, one.part_s, 0.0, 1.0):
        assert event is not None
        at(trace, round(event, 10))


@pytest.mark.parametrize(
    ("cue_id", "igniters", "step", "words"),
    [
        ("no such", [], None, "no cue"),
        ("riddle", [], None, "missing"),
        ("opening", ["comet far"], None, "not on the way"),
        ("opening", [], 1e-9, "more than"),
    ],
)
def test_what_cannot_be_traced_says_why(
    cue_id: str, igniters: list[str], step: float | None, words: str
) -> None:
    assessment = small_report().assessment
    assert assessment is not None
    with pytest.raises(TraceError, match=words):
        trace_cue(assessment, cue_id, igniters=igniters, step_s=step)


@pytest.mark.parametrize("span", [0.02, 0.1, 0.625, 1.0, 2.5, 60.0])
def test_steps_are_round_and_give_some_hundreds_of_rows(span: float) -> None:
    step = nice_step_s(span)
    assert 200 <= span / step <= 500.0001
    assert f"{step:e}"[0] in "125"
