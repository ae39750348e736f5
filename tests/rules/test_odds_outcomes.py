"""What FIR014, FIR015 and FIR016 say of odds, which are made up here with round figures.

Cues and igniters that a rule has no fault with come first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.uncertainty.importance import RareFailure
from bridgewire.uncertainty.intervals import Estimate
from bridgewire.uncertainty.odds_figures import CueOdds, IgniterOdds, Mean, Share, ShowOdds
from bridgewire.uncertainty.quantities import Group
from bridgewire.uncertainty.sensitivity import CauseRanking, Importance
from bridgewire.uncertainty.study import OddsStudy
from tests.rules.show_text import assessed, case_text

CUES = "".join(f'\n[[cue]]\nid = "c{n}"\nfire = "a/1/1"\ntime_s = {n}0\n' for n in (2, 3))
SHOW = case_text("FIR014/fail_only_the_worse_end") + CUES
"""Three cues, and a required reliability of 99 %."""
SURE = Estimate(1.0, 0.995, 1.0)
"""Shows 99 %: nothing failed in enough draws."""
TOO_FEW = Estimate(1.0, 0.96, 1.0)
"""Nothing failed either, but in too few draws to show it."""


def igniter(
    number: int, lights: Estimate, failures: int, distance: float = 2.0, **shares: float
) -> IgniterOdds:
    groups: tuple[Share, ...] = tuple(Share(_group(g), s) for g, s in shares.items())
    return IgniterOdds(number, f"i{number}", 0, lights, failures, distance, 1.0, groups)


def _group(key: str) -> Group:
    known: Mapping[str, Group] = {"cable": "cable", "contacts": "contacts"}
    return known[key]


def cue(
    number: int, *igniters: IgniterOdds, lit: float = 1.0, near: float | None = None
) -> CueOdds:
    """A cue whose igniters all light with probability `lit`, and within 50 ms with `near`."""
    together = None if near is None else Estimate(near, near, near)
    spread_s = None if near is None else 0.05
    mine = tuple(evolve(i, cue=number) for i in igniters)
    return CueOdds(number, f"c{number}", Estimate(lit, lit, lit), together, spread_s, mine)


def study(*cues: CueOdds, draws: int = 1000, closer: tuple[CauseRanking, ...] = ()) -> OddsStudy:
    any_ = Estimate(0.5, 0.4, 0.6)
    odds = ShowOdds(
        draws, 1, "plain", cues, any_, any_, Mean(0.0, 0.0, None), len(cues), (), (), ()
    )
    return OddsStudy("made up", None, 3.0, odds, closer, 0.99)


def found_by(
    code: str, folder: Path, odds: OddsStudy | None, text: str = SHOW
) -> tuple[Finding, ...]:
    context = Context(assessed(text, folder), odds=odds)
    found, _ = run_rules(context, [load_rule(code)])
    assert all(f.code == code for f in found), found
    return found


FAILING = study(
    cue(0, igniter(0, Estimate(0.9, 0.88, 0.92), 100, cable=0.8), near=0.8, lit=0.9),
)


@pytest.mark.parametrize("code", ["FIR014", "FIR015", "FIR016"])
def test_odds_are_judged_only_where_there_are_odds_and_a_requirement(
    code: str, tmp_path: Path
) -> None:
    assert len(found_by(code, tmp_path, FAILING)) == 1
    assert found_by(code, tmp_path, None) == ()
    free = SHOW.replace("reliability = 0.99\n", "")
    assert found_by(code, tmp_path, FAILING, free) == ()


def test_a_reliability_is_told_with_its_interval(tmp_path: Path) -> None:
    odds = study(
        cue(
            0, igniter(0, SURE, 0), igniter(1, TOO_FEW, 0), igniter(2, Estimate(0.9, 0.8, 0.95), 9)
        ),
        cue(1, igniter(3, Estimate(0.98, 0.97, 0.995), 20)),
    )
    error, warning, open_ = sorted(found_by("FIR014", tmp_path, odds), key=lambda f: f.subjects)
    assert "probability of 90 % (80 % to 95 %); the show requires 99 %" in error.message
    assert (error.subjects, error.severity) == (("c0", "i2"), Severity.ERROR)
    assert (error.measured, error.limit) == (0.9, 0.99)
    assert "probability of 98 % (97 % to 99.5 %)" in warning.message
    assert (warning.subjects, warning.severity) == (("c1", "i3"), Severity.WARNING)
    assert "show only 96 % for 1 igniter under its cue; the show requires 99 %" in open_.message
    assert open_.subjects == ("i1",)


def test_the_least_of_what_draws_show_is_told_for_all(tmp_path: Path) -> None:
    odds = study(
        cue(0, igniter(0, Estimate(1.0, 0.97, 1.0), 0), igniter(1, TOO_FEW, 0)),
        cue(1, igniter(2, Estimate(1.0, 0.98, 1.0), 0)),
    )
    (found,) = found_by("FIR014", tmp_path, odds)
    assert "1000 draws without a failure show only 96 % for 3 igniters under their" in found.message
    assert found.measured == pytest.approx(0.96)
    assert (found.limit, found.subjects) == (0.99, ("i0", "i1", "i2"))


def test_misses_of_a_spread_are_those_of_draws_in_which_all_light(tmp_path: Path) -> None:
    """Of 1000 draws 50 leave one unlit and 550 light, but too far apart; 10 would be allowed."""
    odds = study(
        cue(0, igniter(0, SURE, 0)),
        cue(1, igniter(1, SURE, 0), near=1.0),
        cue(2, igniter(2, SURE, 0), igniter(3, SURE, 0), lit=0.95, near=0.4),
    )
    (found,) = found_by("FIR015", tmp_path, odds)
    assert "not within 50.0 ms, with a probability of 55 % (" in found.message
    assert found.message.endswith("); 1 % is allowed")
    assert found.measured == pytest.approx(0.55)
    assert found.limit == pytest.approx(0.01)
    assert found.subjects == ("c2", "i2", "i3")


@pytest.mark.parametrize(("cues", "words"), [(1, "of 1 cue;"), (3, "of 3 cues;")])
def test_draws_without_a_miss_show_what_their_number_allows(
    cues: int, words: str, tmp_path: Path
) -> None:
    """At 95 %, two-sided, n draws without a miss show 0.025 to the power of 1 / n."""
    odds = study(*(cue(n, igniter(n, SURE, 0), near=1.0) for n in range(cues)), draws=200)
    (found,) = found_by("FIR015", tmp_path, odds)
    assert f"200 draws without a miss show only 98.17 % for the spread {words}" in found.message
    assert found.measured == pytest.approx(math.exp(math.log(0.025) / 200))
    assert (found.limit, len(found.subjects)) == (0.99, cues)


def test_what_was_missed_hides_no_open_question_and_the_other_way_round(tmp_path: Path) -> None:
    """Of 200 draws; the first cue is undecided, the second misses in 20."""
    odds = study(
        cue(0, igniter(0, SURE, 0), near=1.0), cue(1, igniter(1, SURE, 0), near=0.9), draws=200
    )
    assert {f.subjects for f in found_by("FIR015", tmp_path, odds)} == {("c0",), ("c1", "i1")}


POOR = Estimate(0.9, 0.88, 0.92)


def test_the_uncertainty_of_the_weakest_igniter_is_named_above_one_half(tmp_path: Path) -> None:
    """Of those that fail alike the one nearest to failing, in standard deviations."""
    odds = study(
        cue(0, igniter(0, SURE, 0, cable=0.9)),
        cue(1, igniter(1, POOR, 100, cable=0.5)),
        cue(2, igniter(2, POOR, 100, 3.0, contacts=0.9), igniter(3, POOR, 100, 1.0, cable=0.75)),
    )
    (found,) = found_by("FIR016", tmp_path, odds)
    assert found.subjects == ("c2", "i3")
    assert "fails with a probability of 10 %, and 75 % of the variance of its" in found.message
    assert found.message.endswith("one uncertainty: cable")
    assert (found.measured, found.limit) == (0.75, 0.5)


def ranking(*groups: Importance) -> CauseRanking:
    failure = RareFailure(0.1, 0.05, 1000, 1000, 1.3, 0.1, 1, (), ())
    return CauseRanking(0, 0, "i0", 1.3, 0.1, groups, "sampled", failure)


@pytest.mark.parametrize(
    ("groups", "words"),
    [
        ((Importance("contacts", 0.6, 0.0, 0.0),), "60 % of what makes it fail is one uncertainty"),
        ((), "80 % of the variance of its margin is one uncertainty: cable"),
    ],
)
def test_a_closer_look_says_what_makes_it_fail(
    groups: tuple[Importance, ...], words: str, tmp_path: Path
) -> None:
    odds = study(cue(0, igniter(0, POOR, 100, cable=0.8)), closer=(ranking(*groups),))
    (found,) = found_by("FIR016", tmp_path, odds)
    assert words in found.message
