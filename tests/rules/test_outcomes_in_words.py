"""What rules say of outcomes that few shows lead to: the outcome of a case with fields changed."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.rules.words import TIMES_NEEDED
from bridgewire.timeline.outcomes import EndState, Times, Verdict
from tests.rules.show_text import assessed, case_text


def judged(code: str, case: str, folder: Path, *changes: dict[str, Any]) -> tuple[Finding, ...]:
    """Findings on a case whose only igniter is there once for each set of changes."""
    assessment = assessed(case_text(case), folder)
    (cue,) = assessment.cues
    (igniter,) = cue.igniters
    igniters = tuple(evolve(igniter, **c) for c in changes)
    found, _ = run_rules(
        Context(evolve(assessment, cues=(evolve(cue, igniters=igniters),))), [load_rule(code)]
    )
    assert all(f.code == code for f in found), found
    return found


BARELY = "FIR002/fail_pulse_barely_enough"
SURE: dict[str, Any] = {"verdict": Verdict.SURE}


@pytest.mark.parametrize(
    ("changes", "typically", "at_worst"),
    [
        ({"margin": 0.5}, "it lights after 0.129 s typically", "it gets 0.500 of the current"),
        ({"lit_before": True}, "typically an earlier cue has lit it", "it gets 0.865 of the"),
        ({"margin": 0.9998}, "", "it gets 0.9998 of the current it needs"),
        ({"margin": 1.01}, "", "it need not light"),
        ({"margin": None}, "it lights after 0.129 s typically", "it does not light"),
        (
            {"light": Times(0.1, 0.2, 0.3), "worst_A": 0.75},
            "it lights after 0.200 s typically",
            "its current, 0.750 A, is less than its class's data promise to ignite",
        ),
        ({"light": Times(0.1, 0.2, 0.3), "worst_A": None, "margin": None}, "", "it does not light"),
        ({"light": Times(0.1, 0.2, math.inf), "worst_A": 0.75}, "", "it gets 0.865 of the"),
    ],
)
def test_why_an_igniter_is_marginal(
    changes: dict[str, Any], typically: str, at_worst: str, tmp_path: Path
) -> None:
    # One that is sure stands before it and is no finding.
    (found,) = judged("FIR002", BARELY, tmp_path, SURE, changes)
    first, second = found.message.split(", but at the worst corner ")
    assert typically in first
    assert second.startswith(at_worst)
    if "it gets" in at_worst:
        assert (found.limit, found.unit) == (1.0, TIMES_NEEDED)
        assert found.measured == changes.get("margin", pytest.approx(0.865, abs=5e-4))
    else:  # what is no margin has none to be read beside it
        assert found.limit is None
        assert (found.measured, found.unit) in ((None, ""), (0.75, "A"))


def test_only_the_unlit_are_told_and_only_with_a_current(tmp_path: Path) -> None:
    """FIR001 skips what is sure, and what carries no current at all: that is FIR009's matter."""
    case = "FIR001/fail_too_thin_a_cable"
    none = {"terminal_A": None}
    (found,) = judged("FIR001", case, tmp_path, SURE, none, {"peak_rise": None})
    assert "it reaches 0 % of" in found.message
    assert found.limit == 1.0


OPEN, CLOSED = EndState.OPEN, EndState.CLOSED


@pytest.mark.parametrize("elsewhere", [("a", 1, 0), ("a", 2, 9)])
@pytest.mark.parametrize(
    ("typical", "worst", "lit_before", "words"),
    [
        (OPEN, OPEN, False, None),
        (OPEN, CLOSED, False, "may stay closed"),
        (CLOSED, CLOSED, False, "stays closed"),
        (CLOSED, OPEN, False, "stays closed"),
        (CLOSED, CLOSED, True, None),
    ],
)
def test_what_stays_closed_loads_the_next_cue_of_its_own_way(
    typical: EndState,
    worst: EndState,
    lit_before: bool,
    words: str | None,
    elsewhere: tuple[str, int, int],
    tmp_path: Path,
) -> None:
    assessment = assessed(case_text("FIR004/fail_later_cue_on_the_way"), tmp_path)
    first, last = assessment.cues
    igniter = evolve(
        first.igniters[0], end_state=typical, worst_end_state=worst, lit_before=lit_before
    )
    between = evolve(
        last,
        way=elsewhere,
        switch_s=(first.switch_s + last.switch_s) / 2,
        igniters=(),
        id="between",
    )
    cues = (evolve(first, igniters=(igniter,)), between, evolve(last, igniters=()))
    found, _ = run_rules(Context(evolve(assessment, cues=cues)), [load_rule("FIR004")])
    assert [f.message for f in found] == (
        []
        if words is None
        else [
            f"igniter 'k' {words} after cue {first.id!r} and loads cue {last.id!r} on the same way"
        ]
    )


@pytest.mark.parametrize("verdict", [Verdict.SURE, Verdict.MARGINAL, Verdict.UNKNOWN])
def test_a_longer_pulse_is_told_for_what_will_not_light_only(
    verdict: Verdict, tmp_path: Path
) -> None:
    """FIR007: what is better than *no* before it is no finding and no reason to stop looking."""
    assessment = assessed(case_text("FIR007/fail_longer_one_lights_all"), tmp_path)
    (cue,) = assessment.cues
    better = evolve(cue, igniters=tuple(evolve(i, verdict=verdict) for i in cue.igniters))
    cues = (better, evolve(cue, pulse_s=None), evolve(cue, needed_pulse_s=None), cue)
    found, _ = run_rules(Context(evolve(assessment, cues=cues)), [load_rule("FIR007")])
    (one,) = found
    assert (one.measured, one.limit, one.unit) == (0.5, 4.0, "s")
    assert "too short for 'i2' under cue" in one.message


def test_a_pulse_that_the_box_does_not_offer_beside_those_that_it_does(tmp_path: Path) -> None:
    """TIM001: cues before it that are right, or on no way, are no reason to stop looking."""
    assessment = assessed(case_text("TIM001/fail_between_offered"), tmp_path)
    (cue,) = assessment.cues
    pulses = assessment.layout.boxes["a"][1].pulses
    assert pulses is not None
    assert 0.5 in pulses.offered_s
    unknown = evolve(cue, pulse_s=None)
    cues = (evolve(cue, way=None), unknown, evolve(cue, pulse_s=0.5), cue)
    found, _ = run_rules(Context(evolve(assessment, cues=cues)), [load_rule("TIM001")])
    (one,) = found
    assert one.message.endswith(
        "a pulse of 0.600 s, which its box 'a' does not offer; the next longer one is 1.00 s"
    )
    longer = min(p for p in pulses.offered_s if p > 0.6)
    assert (one.measured, one.limit) == (0.6, longer)

    # Above all on offer there is no longer one: the limit is the longest.
    last = max(pulses.offered_s)
    late = (evolve(cue, pulse_s=last + 0.5),)
    (one,) = run_rules(Context(evolve(assessment, cues=late)), [load_rule("TIM001")])[0]
    assert one.limit == last
    assert one.message.endswith(f"does not offer; its longest is {last:.2f} s")


@pytest.mark.parametrize(
    ("waits_for", "words"),
    [(("i1",), "only after 'i1' has burned open"), (("i1", "i0"), "'i0' have burned open")],
)
def test_what_an_igniter_waits_for(waits_for: tuple[str, ...], words: str, tmp_path: Path) -> None:
    changes = {"waits_for": waits_for, "verdict": Verdict.MARGINAL}
    will_not = {"waits_for": waits_for, "verdict": Verdict.NO}
    (found,) = judged("FIR003", BARELY, tmp_path, {}, will_not, changes)
    assert words in found.message
    assert found.subjects[2:] == waits_for
