"""Random streams by name, the normal quantile, and intervals of counts."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest

from bridgewire.uncertainty.intervals import from_count
from bridgewire.uncertainty.normal import below, quantile
from bridgewire.uncertainty.streams import Sampling, Streams
from tests.agreements import Agreement

QUANTILES = Agreement(
    "normal-quantiles",
    oracle="Python `statistics.NormalDist`",
    what="quantiles of the normal distribution, probabilities from 1e-300 to 1 - 1e-15",
    limit=1e-14,
)


def test_the_quantile_is_that_of_the_standard_library() -> None:
    p = np.concatenate([np.logspace(-300, -1, 200), np.linspace(0.001, 0.999, 999)])
    p = np.concatenate([p, 1.0 - np.logspace(-15, -1, 50)])
    exact = np.array([NormalDist().inv_cdf(v) for v in p.tolist()])
    QUANTILES.close(quantile(p), exact, floor=1.0)


def test_the_distribution_function_undoes_the_quantile() -> None:
    for p in (1e-12, 1e-3, 0.3, 0.5, 0.99):
        assert below(float(quantile(np.array([p]))[0])) == pytest.approx(p, rel=1e-12)


@pytest.mark.parametrize("sampling", ["latin", "plain"])
def test_a_block_is_a_part_of_the_whole(sampling: Sampling) -> None:
    streams = Streams(5, 1001, sampling)
    whole = streams.normals("drum/reel", 0, 1001)
    for start, stop in ((0, 1), (1, 6), (333, 777), (1000, 1001)):
        assert np.array_equal(streams.normals("drum/reel", start, stop), whole[start:stop])


def test_other_keys_and_seeds_are_other_streams() -> None:
    one = Streams(1, 2000, "plain").normals("a", 0, 2000)
    for other in (
        Streams(1, 2000, "plain").normals("b", 0, 2000),
        Streams(2, 2000, "plain").normals("a", 0, 2000),
    ):
        assert abs(float(np.corrcoef(one, other)[0, 1])) < 0.08


def test_values_are_standard_normal() -> None:
    draws = 100_000
    z = Streams(3, draws, "plain").normals("x", 0, draws)
    assert abs(float(z.mean())) < 4.0 / math.sqrt(draws)
    assert abs(float(z.var()) - 1.0) < 4.0 * math.sqrt(2.0 / draws)
    assert abs(float((z < -2.0).mean()) - below(-2.0)) < 4.0 * math.sqrt(below(-2.0) / draws)


def test_latin_sampling_has_one_value_in_each_stratum() -> None:
    z = Streams(1, 500).normals("x", 0, 500)
    strata = np.floor([NormalDist().cdf(v) * 500 for v in z.tolist()]).astype(int)
    assert np.array_equal(np.sort(strata), np.arange(500))


def test_latin_sampling_lowers_the_variance_of_a_mean() -> None:
    def means(sampling: Sampling) -> list[float]:
        out: list[float] = []
        for seed in range(60):
            streams = Streams(seed, 200, sampling)
            z = np.array([streams.normals(f"k{n}", 0, 200) for n in range(5)])
            # Mostly a sum over latents, with some of all products.
            out.append(float(np.exp(0.1 * z.sum(axis=0)).mean()))
        return out

    ratio = float(np.var(means("plain")) / np.var(means("latin")))
    # The products' part of the variance is about 0.05^2 ... 0.1^2 of it.
    assert ratio > 10.0


def test_latin_sampling_lowers_the_variance_of_a_probability() -> None:
    def rates(sampling: Sampling) -> list[float]:
        out: list[float] = []
        for seed in range(80):
            streams = Streams(seed, 200, sampling)
            z = streams.normals("main", 0, 200) + 0.3 * streams.normals("side", 0, 200)
            out.append(float((z < -1.5).mean()))
        return out

    assert float(np.var(rates("plain")) / np.var(rates("latin"))) > 1.5


def test_no_hit_and_only_hits() -> None:
    # C. J. Clopper, E. S. Pearson, Biometrika 26 (1934): with no hit (1 - p)^n is the tail.
    none, every = from_count(0, 100), from_count(100, 100)
    assert none.low == 0.0
    assert none.high == pytest.approx(1.0 - 0.025**0.01, rel=1e-9)
    assert every.high == 1.0
    assert every.low == pytest.approx(0.025**0.01, rel=1e-9)


@pytest.mark.oracle
def test_intervals_are_those_of_scipy() -> None:
    stats = pytest.importorskip("scipy.stats")
    for hits, draws in ((1, 10), (5, 100), (37, 1000), (3, 100_000), (99_990, 100_000)):
        ours = from_count(hits, draws)
        exact = stats.binomtest(hits, draws).proportion_ci(0.95, "exact")
        assert (ours.low, ours.high) == pytest.approx((exact.low, exact.high), rel=1e-7)


@pytest.mark.parametrize("p", [0.001, 0.01, 0.03, 0.2, 0.5, 0.77])
def test_intervals_hold_the_true_probability_often_enough(p: float) -> None:
    draws = 60
    inside = sum(
        math.comb(draws, k) * p**k * (1.0 - p) ** (draws - k)
        for k in range(draws + 1)
        if from_count(k, draws).low <= p <= from_count(k, draws).high
    )
    assert inside >= 0.95
