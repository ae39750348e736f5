"""The next level: stages, D-optimality, and better spreads than by up and down."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bridgewire.bench.sensitivity.fit import Fit, fit
from bridgewire.bench.sensitivity.links import LINKS, PROBIT, Link
from bridgewire.bench.sensitivity.sequential import (
    Guess,
    d_optimal,
    guess_from_levels,
    information,
    next_level,
)
from bridgewire.bench.sensitivity.trials import Trials, from_shots, to_scale

GUESS = Guess(4.0, 16.0, 1.0)
History = list[tuple[float, bool]]


def test_the_stages_in_their_order() -> None:
    history: History = []
    stages = []
    rng = np.random.default_rng(3)
    for _ in range(25):
        chosen = next_level(history, GUESS)
        stages.append(chosen.stage)
        history.append((chosen.level, bool(rng.normal(9.0, 1.0) < chosen.level)))
    assert stages[0] == "bracket"
    assert stages[-1] == "refine"
    order = ["bracket", "overlap", "refine"]
    assert [order.index(s) for s in stages] == sorted(order.index(s) for s in stages)


@pytest.mark.parametrize(
    ("history", "level"),
    [
        ([], 10.0),
        ([(10.0, True)], 7.0),  # half-way to the low end of the guess
        ([(10.0, False)], 13.0),
        ([(5.0, True)], 3.0),  # two spreads lower is further than half-way to the guess
        ([(10.0, True), (7.0, True)], 4.0),  # as far again
        ([(10.0, True), (7.0, False)], 8.5),  # half-way in the gap
    ],
)
def test_bracketing(history: History, level: float) -> None:
    chosen = next_level(history, GUESS)
    assert chosen.level == pytest.approx(level)
    assert chosen.stage == "bracket"


def test_going_lower_never_leaves_the_levels_above_zero() -> None:
    history: History = []
    for _ in range(40):
        chosen = next_level(history, Guess(1.0, 3.0, 5.0))
        assert chosen.level > 0.0
        history.append((chosen.level, True))


def test_without_overlap_the_guess_of_the_spread_shrinks_with_every_shot() -> None:
    history: History = [(10.0, True), (9.5, False)]
    sigmas = []
    for _ in range(4):
        chosen = next_level(history, GUESS)
        assert chosen.stage == "overlap"
        sigmas.append(chosen.sigma)
        history.append((chosen.level, chosen.level > 9.7))
    assert sigmas == pytest.approx([1.0, 0.8, 0.64, 0.512])


@pytest.mark.parametrize("link", LINKS.values(), ids=list(LINKS))
@pytest.mark.parametrize("seed", range(6))
def test_no_level_of_a_grid_gives_a_larger_determinant(link: Link, seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = rng.normal(10.0, 2.0, rng.integers(1, 15))
    mu, sigma = 9.6, 1.3

    def determinant(new: float) -> float:
        return float(np.linalg.det(information(np.append(x, new), mu, sigma, link)))

    best = determinant(d_optimal(x, mu, sigma, link))
    grid = [determinant(v) for v in np.linspace(mu - 6.0 * sigma, mu + 6.0 * sigma, 4001)]
    assert best >= max(grid) * (1.0 - 1e-7)


def test_two_sided_design_for_many_shots() -> None:
    """Starting from nothing but single shots, D-optimal probit levels gather near ±1.138 sigma
    (from memory: the D-optimal design of a probit curve)."""
    x = np.array([0.1])
    for _ in range(300):
        x = np.append(x, d_optimal(x, 0.0, 1.0))
    late = np.abs(x[100:])
    assert float(late.mean()) == pytest.approx(1.138, abs=0.01)
    assert float(np.mean(x[100:] > 0)) == pytest.approx(0.5, abs=0.02)


def test_a_refining_level_is_the_optimal_one_at_the_fit() -> None:
    history = [(9.0, False), (10.0, True), (9.5, True), (9.8, False), (8.8, False), (10.4, True)]
    chosen = next_level(history, GUESS)
    found = fit(from_shots([x for x, _ in history], [y for _, y in history]), PROBIT)
    assert isinstance(found, Fit)
    assert chosen.stage == "refine"
    assert chosen.mu == pytest.approx(found.mu)
    x = np.array([v for v, _ in history])
    assert chosen.level == pytest.approx(d_optimal(x, found.mu, found.sigma))


def test_overlap_the_wrong_way_still_gives_a_level() -> None:
    history = [(9.0, True), (10.0, False), (9.5, True), (9.2, False), (10.5, True), (10.6, False)]
    chosen = next_level(history, GUESS)
    assert chosen.stage == "refine"
    assert math.isfinite(chosen.level)
    assert "do not show" in chosen.why or "adds most" in chosen.why


def test_a_logarithmic_scale_is_the_linear_one_of_logarithms() -> None:
    guess = guess_from_levels(0.25, 0.6, 0.04, "log10")
    history = [(0.39, True), (0.31, False), (0.35, True)]
    on_log = next_level(history, guess, "log10")
    plain = [(float(to_scale(x, "log10")), y) for x, y in history]
    assert on_log.x == pytest.approx(next_level(plain, guess).x)
    assert on_log.level == pytest.approx(10.0**on_log.x)


@pytest.mark.parametrize(
    ("low", "high", "spread", "scale"),
    [(2, 1, None, "linear"), (1, 1, None, "linear"), (1, 2, 0.0, "linear"), (0, 1, None, "log10")],
)
def test_a_guess_that_is_none_is_refused(
    low: float, high: float, spread: float | None, scale: str
) -> None:
    with pytest.raises(ValueError):
        guess_from_levels(low, high, spread, scale)


def by_next_level(rng: np.random.Generator, shots: int, spread: float) -> Trials:
    history: History = []
    for _ in range(shots):
        x = next_level(history, Guess(4.0, 16.0, spread)).level
        history.append((x, bool(rng.normal(10.0, 1.0) < x)))
    return from_shots([x for x, _ in history], [y for _, y in history])


def by_up_and_down(rng: np.random.Generator, shots: int, step: float) -> Trials:
    x, history = 10.0, []
    for _ in range(shots):
        y = bool(rng.normal(10.0, 1.0) < x)
        history.append((x, y))
        x += -step if y else step
    return from_shots([x for x, _ in history], [y for _, y in history])


def log_spreads(trials: list[Trials]) -> list[float]:
    found = [fit(t, PROBIT) for t in trials]
    return [math.log(f.sigma) for f in found if isinstance(f, Fit)]


@pytest.mark.parametrize("guessed", [0.25, 4.0])
def test_the_spread_is_found_better_than_by_up_and_down(guessed: float) -> None:
    """True sigma 1, guessed four times too small or too large; 40 shots, the same fit for both.

    A step far too small walks too near the middle; one far too large brings no overlap at all.
    """
    rng = np.random.default_rng(11)
    repeats = 40
    ours = log_spreads([by_next_level(rng, 40, guessed) for _ in range(repeats)])
    theirs = log_spreads([by_up_and_down(rng, 40, guessed) for _ in range(repeats)])
    assert len(ours) >= 0.95 * repeats
    if guessed > 1.0:
        assert len(theirs) < 0.5 * repeats
        return

    def error(values: list[float]) -> float:
        return math.sqrt(sum(v * v for v in values) / len(values))

    assert error(ours) < 0.75 * error(theirs)
