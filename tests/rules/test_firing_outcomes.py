"""What firing rules say of igniters, with figures worked out by hand: FIR005 to FIR013.

Outcomes are those of a case with fields changed. Those that a rule has no fault with come first.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from bridgewire.circuit.elements import Missing
from bridgewire.diagnostics import Finding
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.testing import RuleCase
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Drop, Times, Verdict
from tests.rules.case_files import all_cases
from tests.rules.show_text import assessed, case_text, findings

Changes = dict[str, Any]
NO: Changes = {"verdict": Verdict.NO}


def found_by(code: str, assessment: Assessment) -> tuple[Finding, ...]:
    found, _ = run_rules(Context(assessment), [load_rule(code)])
    assert all(f.code == code for f in found), found
    return found


def first_cue_with(assessment: Assessment, *changes: Changes, **of_cue: Any) -> Assessment:
    """The first cue with its first igniter once for each set of changes, and no other."""
    cue, *others = assessment.cues
    igniters = tuple(
        evolve(cue.igniters[0], **{"id": f"i{n}", **c}) for n, c in enumerate(changes, 1)
    )
    return evolve(assessment, cues=(evolve(cue, igniters=igniters, **of_cue), *others))


FAILING = [
    c for c in all_cases() if c.should_fail and c.code.startswith("FIR") and c.odds() is None
]


@pytest.mark.parametrize("case", FAILING, ids=[c.name for c in FAILING])
def test_a_cue_that_lights_nothing_hides_no_other(case: RuleCase) -> None:
    """FIR001 to FIR013 judge igniters under cues; one without any comes before and after."""
    assessment = assess(case.load().layout)
    bare = CueOutcome(0, "bare", None, 0.0, None)
    between = evolve(assessment, cues=(bare, *assessment.cues, bare))
    found = found_by(case.code, assessment)
    assert found
    assert found_by(case.code, between) == found


def test_low_margin_is_told_below_the_limit_with_the_two_largest_drops(tmp_path: Path) -> None:
    assessment = assessed(case_text("FIR005/fail_below_what_is_asked"), tmp_path)
    drops = (Drop("run 'far'", 6.25, ()), Drop("supply", 1.5, ()), Drop("clamp", 0.75, ()))
    many = first_cue_with(
        assessment,
        {"verdict": Verdict.MARGINAL, "margin": 0.9},  # FIR002's matter
        {"margin": None},
        {"margin": 5.0},
        {"margin": 4.5, "drops": drops},
        {"margin": 4.9, "drops": ()},
    )
    told, bare = found_by("FIR005", many)
    assert (told.subjects, told.measured, told.limit) == (("one", "i4"), 4.5, 5.0)
    assert told.remedy.endswith("; most voltage is lost in run 'far' (6.25 V) and supply (1.50 V)")
    assert bare.subjects == ("one", "i5")
    assert bare.remedy.endswith("lengthen the pulse")


def test_factor_over_all_fire_current_by_hand(tmp_path: Path) -> None:
    """23.5 V over all resistances at their greatest, against 0.5 A; 40 m of conductor at 25 °C."""
    text = case_text("FIR006/fail_show_asks_for_more")
    text = text.replace("yard:cell", "yard:busy-box").replace("length_m = 10", "length_m = 20")
    text = "\n".join(s for s in text.splitlines() if not s.startswith(("supply_V", "standby")))
    (found,) = findings(text, "FIR006", tmp_path)
    box, contacts, strip = 0.4 + 0.1, 4 * 0.03, 2 * 0.02 + 2 * 0.04
    line = 40 * 0.0938 * (1 + 0.00393 * 5)
    worst_A = 23.5 / (box + contacts + strip + line + 0.3 + 1.7)
    assert found.measured == pytest.approx(worst_A / 0.5, rel=0.01)
    assert found.limit == 10.0
    assert found.remedy.startswith("bring 5.00 A to it")  # ten times 0.5 A


def test_all_fire_factor_is_told_below_the_limit_of_what_lights(tmp_path: Path) -> None:
    assessment = assessed(case_text("FIR006/fail_show_asks_for_more"), tmp_path)
    many = first_cue_with(
        assessment,
        NO | {"worst_A": 0.25},  # FIR001's matter
        {"lit_before": True, "worst_A": 0.25},
        {"worst_A": None},
        {"worst_A": 5.0},  # ten times 0.5 A
        {"worst_A": 4.5},
        {"verdict": Verdict.MARGINAL, "worst_A": 4.0},
    )
    sure, marginal = found_by("FIR006", many)
    assert (sure.subjects, sure.measured) == (("one", "i5"), 9.0)
    assert (marginal.subjects, marginal.measured) == (("one", "i6"), 8.0)


def test_mates_of_a_string_are_named_but_not_the_igniter_itself(tmp_path: Path) -> None:
    assessment = assessed(case_text("FIR008/fail_scatter_at_low_current"), tmp_path)
    many = first_cue_with(
        assessment,
        {"broken_by": ()},
        {"broken_by": ("z",), "lit_before": True},
        {"id": "m", "broken_by": ("a", "m", "z")},
    )
    (found,) = found_by("FIR008", many)
    assert found.subjects == ("one", "m", "a", "z")
    assert "cue 'one': 'a' and 'z', in series with it" in found.message


def lacks(count: int) -> tuple[Missing, ...]:
    keys = ("bridge_ohm", "lead_ohm", "burn_open", "after_fire", "tau_s")[:count]
    # Each is missing twice, as it is where two igniters of a class are meant.
    return tuple(Missing("kit:k", "k:m", "igniter class", k, "") for k in (*keys, *keys))


@pytest.mark.parametrize(
    ("count", "end"),
    [
        (0, "lights 'i2'"),
        (1, "'i2': bridge_ohm of igniter class 'k:m' is not stated"),
        (2, ", lead_ohm of igniter class 'k:m' are not stated"),
        (3, "lead_ohm of igniter class 'k:m', burn_open of igniter class 'k:m' are not stated"),
        (4, "burn_open of igniter class 'k:m' and 1 more are not stated"),
        (5, "burn_open of igniter class 'k:m' and 2 more are not stated"),
    ],
)
def test_three_missing_values_are_named_and_the_rest_counted(
    count: int, end: str, tmp_path: Path
) -> None:
    assessment = assessed(case_text("FIR009/fail_class_without_bridge"), tmp_path)
    changed = first_cue_with(
        assessment,
        {"verdict": Verdict.SURE},
        {"verdict": Verdict.UNKNOWN},
        missing=lacks(count),
    )
    (found,) = found_by("FIR009", changed)
    assert found.message.endswith(end)
    assert found.subjects == ("one", "i2")


@pytest.mark.parametrize(
    ("by", "words"),
    [(("k",), "the spent 'k' still draws"), (("k", "l"), "the spent 'k' and 'l' still draw ")],
)
def test_one_spent_igniter_draws_and_two_draw(
    by: tuple[str, ...], words: str, tmp_path: Path
) -> None:
    assessment = assessed(case_text("FIR010/fail_near_one_stays_closed"), tmp_path)
    (found, _) = found_by("FIR010", first_cue_with(assessment, {"loaded_by": by}))
    assert words in found.message
    assert found.subjects == ("one", "i1", *by)


def test_delay_of_a_repeat_counts_from_the_first_pulse(tmp_path: Path) -> None:
    """The cue switches at 10 s; its second pulse of 0.5 s begins 1.5 s later."""
    assessment = assessed(case_text("FIR011/fail_on_the_repeat"), tmp_path)
    light = Times(1.6, 1.75, 1.9)
    many = first_cue_with(
        assessment,
        NO,
        {"igniter": 1, "light": light, "lit_before": True},
        {"igniter": 1, "light": Times(1.6, math.inf, math.inf)},
        {"igniter": 1, "light": Times(0.3, 0.5, 1.6)},  # typically with the end of the first
        {"igniter": 1, "light": light},
    )
    (found,) = found_by("FIR011", many)
    assert found.subjects == ("one", "i5")
    assert "1.75 s after the first pulse of 0.500 s began" in found.message
    assert found.measured == pytest.approx(1.75)
    assert found.limit == 0.5


def test_delay_until_a_later_cue_counts_from_the_cue_that_missed(tmp_path: Path) -> None:
    """Missed at 10 s with a pulse of 0.5 s; the cue at 20 s lights after 1.25 s."""
    assessment = assessed(case_text("FIR011/fail_under_a_later_cue"), tmp_path)
    first, last = assessment.cues
    lit = tuple(evolve(i, light=Times(1.1, 1.25, 1.4)) for i in last.igniters if i.intended)
    (found,) = found_by("FIR011", evolve(assessment, cues=(first, evolve(last, igniters=lit))))
    assert found.measured == pytest.approx(11.25)
    assert found.limit == 0.5


def test_resistance_of_what_ends_shorted_is_that_of_the_class(tmp_path: Path) -> None:
    (found,) = findings(case_text("FIR012/fail_beside_another"), "FIR012", tmp_path)
    assert (found.measured, found.unit) == (0.1, "ohm")


def test_series_current_is_told_below_the_limit_of_strings_only(tmp_path: Path) -> None:
    """The class needs 0.8 A in series."""
    assessment = assessed(case_text("FIR013/fail_long_string"), tmp_path)
    many = first_cue_with(
        assessment,
        {"worst_A": None},
        {"worst_A": 0.5, "lit_before": True},
        {"worst_A": 0.8},
        {"worst_A": 0.75},
    )
    (found,) = found_by("FIR013", many)
    assert (found.subjects, found.measured, found.limit) == (("one", "i4"), 0.75, 0.8)
    alone = assessed(case_text("FIR013/pass_alone"), tmp_path)
    assert found_by("FIR013", first_cue_with(alone, {"worst_A": 0.5})) == ()
