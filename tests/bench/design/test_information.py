"""Mutual information from draws: known channels, bias, standard error, bounds."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from bridgewire.bench.design.information import (
    difference_se,
    entropy_bits,
    information,
    told_shares,
)

Floats = NDArray[np.float64]


def _even(draws: int) -> Floats:
    return np.full(draws, 1.0 / draws)


def _channel(
    rng: np.random.Generator, draws: int, each: int, error: float
) -> tuple[Floats, Floats]:
    """A binary symmetric channel: outcome is the answer, wrong with probability `error`."""
    yes = (rng.random(draws) < 0.5).astype(float)
    wrong = rng.binomial(each, error, draws)
    ones = np.where(yes > 0.5, each - wrong, wrong).astype(float)
    return np.stack([each - ones, ones], axis=1), yes


@pytest.mark.parametrize("error", [0.0, 0.1, 0.3])
def test_binary_symmetric_channel(error: float) -> None:
    """Capacity at even inputs is 1 - H(error): Cover and Thomas, eq. (7.5) (from memory)."""
    rng = np.random.default_rng(3)
    counts, yes = _channel(rng, 4000, 8, error)
    found = information(counts, yes, _even(4000))
    assert found.bits == pytest.approx(1.0 - entropy_bits(error), abs=max(4 * found.se, 1e-3))


def _noise(rng: np.random.Generator, draws: int, kinds: int, each: int) -> tuple[Floats, Floats]:
    counts = rng.multinomial(each, np.full(kinds, 1.0 / kinds), draws).astype(float)
    return counts, (rng.random(draws) < 0.4).astype(float)


def test_outcomes_without_meaning_tell_nothing_on_average() -> None:
    rng = np.random.default_rng(4)
    found = [information(*_noise(rng, 200, 12, 2), _even(200)) for _ in range(300)]
    bits = np.array([f.bits for f in found])
    plain = np.array([f.plain_bits for f in found])
    assert abs(bits.mean()) < 4.0 * bits.std() / math.sqrt(bits.size) + 0.1 * plain.mean()
    # What is taken off is no trifle: (12 - 1) / (2 * 400 ln 2) = 0.02 bits with 400 outcomes
    # (G. A. Miller, 1955; from memory).
    assert plain.mean() == pytest.approx(11.0 / (800.0 * math.log(2.0)), rel=0.15)


def test_agrees_with_a_shuffled_answer() -> None:
    """The bias taken off is that of a table whose answers were dealt out anew."""
    rng = np.random.default_rng(5)
    counts, yes = _noise(rng, 250, 10, 4)
    own = information(counts, yes, _even(250))
    shuffled = [
        information(counts, rng.permutation(yes), _even(250)).plain_bits for _ in range(200)
    ]
    assert own.plain_bits - own.bits == pytest.approx(np.mean(shuffled), rel=0.25)


def test_standard_error_is_what_repetition_shows() -> None:
    rng = np.random.default_rng(6)
    found = [information(*_channel(rng, 150, 3, 0.2), _even(150)) for _ in range(300)]
    spread = np.std([f.bits for f in found], ddof=1)
    assert np.mean([f.se for f in found]) == pytest.approx(spread, rel=0.2)
    assert np.mean([f.bits for f in found]) == pytest.approx(1.0 - entropy_bits(0.2), abs=0.01)


@pytest.mark.parametrize("kinds", [2, 12])
def test_nothing_is_not_called_telling(kinds: int) -> None:
    """Outcomes that go with draws, but not with the answer: above two standard errors in one of a
    hundred at most, so that the best of forty candidates is rarely called telling by chance.
    """
    rng = np.random.default_rng(10)
    called = 0
    for _ in range(200):
        parts = rng.dirichlet(np.full(kinds, 0.7), 200)
        counts = rng.multinomial(8, parts).astype(float)
        found = information(counts, (rng.random(200) < 0.4).astype(float), _even(200))
        called += found.bits > 2.0 * found.se
    assert called <= 2


def test_difference_of_trials_over_the_same_draws() -> None:
    """Two noisy looks at the same answers: their difference varies as said."""
    rng = np.random.default_rng(7)
    off, said = [], []
    for _ in range(300):
        counts, yes = _channel(rng, 150, 3, 0.2)
        wrong = rng.binomial(3, 0.2, 150)
        ones = np.where(yes > 0.5, 3 - wrong, wrong).astype(float)
        a = information(counts, yes, _even(150))
        b = information(np.stack([3 - ones, ones], axis=1), yes, _even(150))
        off.append(a.bits - b.bits)
        said.append(difference_se(a, b, _even(150)))
    assert np.mean(said) == pytest.approx(np.std(off, ddof=1), rel=0.2)


tables = st.integers(0, 2**32 - 1).map(np.random.default_rng)


@given(tables, st.integers(2, 40), st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_bounds_and_merging(rng: np.random.Generator, draws: int, kinds: int) -> None:
    counts = rng.integers(0, 4, (draws, kinds)).astype(float)
    counts[:, 0] += 1.0
    yes = rng.random(draws)
    weight = rng.random(draws) + 0.01
    weight /= weight.sum()
    found = information(counts, yes, weight)
    unsure = entropy_bits(float(weight @ yes))
    assert -1e-9 <= found.plain_bits <= unsure + 1e-9
    assert math.isfinite(found.bits)
    assert found.se >= 0.0
    merged = np.stack([counts[:, : kinds // 2].sum(axis=1), counts[:, kinds // 2 :].sum(axis=1)], 1)
    # A coarser look never tells more (data processing inequality, Cover and Thomas, theorem 2.8.1).
    whole = counts / counts.sum(axis=1, keepdims=True)
    assert (
        information(merged, yes, weight).plain_bits
        <= information(whole, yes, weight).plain_bits + 1e-9
    )


def test_weights_are_like_repeated_draws() -> None:
    rng = np.random.default_rng(8)
    counts, yes = _channel(rng, 60, 4, 0.2)
    times = rng.integers(1, 4, 60)
    weighted = information(counts, yes, times / times.sum())
    again = np.repeat(np.arange(60), times)
    repeated = information(counts[again], yes[again], _even(again.size))
    assert weighted.plain_bits == pytest.approx(repeated.plain_bits, abs=1e-12)
    # Repeated draws look like independent ones, weights do not.
    assert weighted.se > repeated.se


def test_one_draw_is_refused() -> None:
    with pytest.raises(ValueError, match="two draws"):
        information(np.ones((1, 2)), np.ones(1), np.ones(1))


def test_told_shares() -> None:
    """An outcome that sorts a normal value into halves takes 2/pi of its variance away."""
    rng = np.random.default_rng(9)
    values = rng.standard_normal((4000, 2))
    counts = np.stack([values[:, 0] < 0.0, values[:, 0] >= 0.0], axis=1).astype(float)
    shares = told_shares(counts, values, _even(4000))
    assert shares[0] == pytest.approx(2.0 / math.pi, abs=0.02)
    assert shares[1] < 0.005
