"""What a probability with its interval means for a requirement."""

from __future__ import annotations

import pytest
from attrs import evolve

from bridgewire.diagnostics import Severity
from bridgewire.rules.odds_bounds import (
    draws_needed,
    failure_bounds,
    more_draws,
    percent,
    ranking_of,
    severity_of,
    undecided,
)
from bridgewire.testing.case_files import RuleCase
from bridgewire.timeline.assess import assess
from bridgewire.uncertainty.intervals import Estimate, from_count
from bridgewire.uncertainty.study import study_odds
from tests.rules.case_files import case


@pytest.mark.parametrize("required", [0.5, 0.9, 0.99, 0.999, 0.9999])
def test_draws_needed_are_just_enough(required: float) -> None:
    needed = draws_needed(required)
    assert needed is not None
    assert from_count(needed, needed).low >= required
    assert from_count(needed - 1, needed - 1).low < required


def test_certainty_cannot_be_drawn() -> None:
    assert draws_needed(1.0) is None
    assert "less than 1" in more_draws(1.0)
    assert "3688 draws" in more_draws(0.999)


@pytest.mark.parametrize(
    ("low", "high", "severity"),
    [
        (0.0, 0.001, None),
        (0.0, 0.0011, Severity.WARNING),
        (0.0005, 0.0015, Severity.WARNING),
        (0.0011, 0.003, Severity.ERROR),
        (1.0, 1.0, Severity.ERROR),
    ],
)
def test_severity_goes_by_the_ends(low: float, high: float, severity: Severity | None) -> None:
    assert severity_of(Estimate(0.5 * (low + high), low, high), 1.0 - 0.001) is severity


def test_undecided_is_only_what_never_failed() -> None:
    assert undecided(0, from_count(0, 100), 0.999)
    assert not undecided(1, from_count(1, 100), 0.999)
    assert not undecided(0, from_count(0, 10_000), 0.999)


def test_percent_keeps_what_matters() -> None:
    assert [percent(v) for v in (0.0, 1.0, 0.5, 0.99999)] == ["0 %", "100 %", "50 %", "99.999 %"]


def test_closer_look_counts_only_without_doubts() -> None:
    chosen: RuleCase = case("FIR014/pass_enough_pulse")
    study = study_odds(assess(chosen.load().layout), draws=200)
    igniter = study.odds.cues[0].igniters[0]
    ranking = ranking_of(study, igniter)
    assert ranking is not None
    drawn = from_count(0, 200).high
    assert igniter.failures == 0
    assert failure_bounds(study, igniter).high < 0.1 * drawn
    doubtful = evolve(ranking, failure=evolve(ranking.failure, doubts=("made up",)))
    others = tuple(r for r in study.closer if r is not ranking)
    unsure = evolve(study, closer=(doubtful, *others))
    assert failure_bounds(unsure, igniter).high == pytest.approx(drawn)
