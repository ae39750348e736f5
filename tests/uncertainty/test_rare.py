"""Small probabilities against closed forms, brute force, and limit states with several ways."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest
from attrs import define

from bridgewire.physics.network import Floats
from bridgewire.uncertainty.design_point import find_design_point
from bridgewire.uncertainty.importance import RareFailure
from bridgewire.uncertainty.normal import below
from bridgewire.uncertainty.odds import show_odds
from bridgewire.uncertainty.rare import failure, igniter_failure
from tests.uncertainty.shows import BRIDGE_OHM, EMF_V, REACH, assessed, band, kit, show, single
from tests.uncertainty.test_odds import SIGMA, threshold_failing


def agrees(found: RareFailure, p: float) -> bool:
    """Within four standard errors, and the error is what was asked for."""
    return (
        found.relative_error <= 0.05
        and abs(found.probability - p) <= 4.0 * found.relative_error * p
        and not found.doubts
    )


@pytest.mark.parametrize("p", [1e-3, 1e-4, 1e-6, 1e-9])
def test_a_single_igniter_with_a_lognormal_threshold(p: float, tmp_path: Path) -> None:
    found = igniter_failure(single(tmp_path, band(threshold_failing(p), SIGMA)), 0, 0)
    assert agrees(found, p)
    assert found.beta == pytest.approx(-NormalDist().inv_cdf(p), abs=0.01)
    assert found.first_order == pytest.approx(p, rel=0.06)
    # The squared cosines are the shares of the variance.
    assert {c.latent: c.alpha2 for c in found.causes} == pytest.approx(
        {"igniter/a 1/0/threshold": 0.7, "batch/trial:match/threshold": 0.3}, abs=0.01
    )


def test_threshold_and_bridge_resistance_both_lognormal(tmp_path: Path) -> None:
    # It fails where ln I0 + ln R0 exceeds ln(E reach): a sum of two normal values.
    sigma_r, p = 0.05, 1e-4
    both = math.hypot(SIGMA, sigma_r)
    typical = EMF_V / BRIDGE_OHM * REACH * math.exp(both * NormalDist().inv_cdf(p))
    data = band(typical, SIGMA)
    found = igniter_failure(single(tmp_path, data, bridge=band(BRIDGE_OHM, sigma_r)), 0, 0)
    assert agrees(found, p)
    shares = {c.latent.rsplit("/", 1)[-1]: 0.0 for c in found.causes}
    for c in found.causes:
        shares[c.latent.rsplit("/", 1)[-1]] += c.alpha2
    assert shares["bridge resistance"] == pytest.approx((sigma_r / both) ** 2, abs=0.01)


def test_a_batch_in_common_makes_no_difference_to_one_igniter(tmp_path: Path) -> None:
    data = band(threshold_failing(1e-4), SIGMA)
    for share in (0.0, 0.6, 1.0):
        found = igniter_failure(single(tmp_path, data, batch_share=share), 0, 0)
        assert agrees(found, 1e-4)


@pytest.mark.slow
def test_against_brute_force_where_there_is_no_closed_form(tmp_path: Path) -> None:
    """Cable, contacts, supply and igniter scatter; a million plain draws."""
    supply = (
        'kind = "regulated"\nopen_circuit_V = { min = 2.2, typical = 2.4, max = 2.6 }\n'
        "internal_ohm = { min = 0.1, typical = 0.2, max = 0.5 }"
    )
    data = kit(
        band(0.36, 0.06),
        bridge=band(BRIDGE_OHM, 0.03),
        supply=supply,
        tau="{ min = 0.007, typical = 0.01, max = 0.014 }",
        ohm_per_m="{ min = 0.07, typical = 0.08, max = 0.1 }",
        contact="{ min = 0.005, typical = 0.015, max = 0.04 }",
    )
    text = show(["a/1"], ['fire = "box/1/1"\ntime_s = 1.0'], length="{ typical = 17, tol = 2 }")
    assessment = assessed(tmp_path, data, text)
    draws = 1_000_000
    plain = show_odds(assessment, draws=draws, sampling="plain").cues[0].igniters[0].failures
    assert 100 < plain < 1000, plain
    found = igniter_failure(assessment, 0, 0, relative_error=0.03)
    assert not found.doubts
    error = math.hypot(found.relative_error, 1.0 / math.sqrt(plain))
    assert abs(found.probability / (plain / draws) - 1.0) < 4.0 * error
    assert found.evaluations < draws / 20


@define
class Synthetic:
    """A limit state given as a function."""

    size: int
    function: Callable[[Floats], Floats]
    points: int = 0

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(f"z{n}" for n in range(self.size))

    def __call__(self, z: Floats, fine: bool) -> Floats:
        self.points += z.shape[0]
        return self.function(z)


def sampled(limit: Synthetic, seed: int = 1, **more: float) -> RareFailure:
    return failure(
        limit,
        starts=[np.zeros(limit.size)],
        generator=np.random.default_rng(seed),
        **more,  # type: ignore[arg-type]
    )


def test_a_straight_limit_state_in_many_dimensions() -> None:
    normal = np.ones(40) / math.sqrt(40.0)
    found = sampled(Synthetic(40, lambda z: 4.5 - z @ normal))
    assert agrees(found, below(-4.5))
    assert found.modes == 1


@pytest.mark.parametrize("size", [6, 20, 60])
@pytest.mark.parametrize("seed", [0, 1, 2])
def test_several_ways_to_fail_are_all_found(size: int, seed: int) -> None:
    def series(z: Floats) -> Floats:
        return np.minimum(np.minimum(3.5 - z[:, 0], 3.6 + z[:, 0]), 3.55 - z[:, 1])

    found = sampled(Synthetic(size, series), seed)
    p = below(-3.5) + below(-3.6) + below(-3.55) * (1.0 - below(-3.5) - below(-3.6))
    assert agrees(found, p)
    assert found.modes == 3


def test_eight_ways_to_fail_that_are_alike() -> None:
    found = sampled(Synthetic(20, lambda z: np.asarray(np.min(4.0 - z[:, :8], axis=1))))
    assert agrees(found, 1.0 - (1.0 - below(-4.0)) ** 8)


def test_a_way_to_fail_off_the_steepest_fall_is_found() -> None:
    def hidden(z: Floats) -> Floats:
        other = 30.0 * (3.9 - z[:, 1:].sum(axis=1) / math.sqrt(20.0))
        return np.asarray(np.minimum(4.0 - z[:, 0], other))

    assert agrees(sampled(Synthetic(21, hidden)), below(-4.0) + below(-3.9))


def test_a_way_to_fail_that_fits_no_straight_account_is_told() -> None:
    # Failure on a shell: every direction is as likely as the steepest one.
    found = sampled(Synthetic(30, lambda z: 80.0 - (z**2).sum(axis=1) - 1e-6 * z[:, 0]))
    assert found.doubts


def test_a_curved_limit_state() -> None:
    # The sum of squares of four normal values above c: chi-squared, P = (1 + c/2) exp(-c/2).
    c = 25.0
    found = sampled(Synthetic(4, lambda z: c - (z**2).sum(axis=1) - 1e-6 * z[:, 0]))
    p = (1.0 + c / 2.0) * math.exp(-c / 2.0)
    assert abs(found.probability - p) <= 5.0 * max(found.relative_error, 0.02) * p


def test_a_kink_at_the_limit_state_does_not_stop_the_search() -> None:
    def kinked(z: Floats) -> Floats:
        g = 3.8 - z[:, 0] - 0.5 * z[:, 1]
        return np.where(g > 0, 10.0 * g, 0.1 * g)

    found = find_design_point(Synthetic(3, kinked), np.zeros(3))
    assert found is not None
    assert found.beta == pytest.approx(3.8 / math.hypot(1.0, 0.5), rel=1e-3)


def test_an_error_that_is_too_large_is_told() -> None:
    found = sampled(Synthetic(21, lambda z: 4.0 - z[:, 0]), relative_error=0.01, most=3000)
    assert any("relative error" in d for d in found.doubts)


def test_where_nothing_fails_this_is_said() -> None:
    found = sampled(Synthetic(3, lambda z: np.ones(z.shape[0])))
    assert found.probability == 0.0
    assert math.isinf(found.relative_error)
    assert any("no way to fail" in d for d in found.doubts)
    assert found.interval == (0.0, 1.0)


def test_common_failure_is_sampled_plainly(tmp_path: Path) -> None:
    found = igniter_failure(single(tmp_path, band(threshold_failing(0.2), SIGMA)), 0, 0)
    assert found.hits is not None
    assert found.interval[0] <= 0.2 <= found.interval[1]


def test_intervals_hold_the_true_probability_about_as_often_as_they_say() -> None:
    p = below(-4.0)
    inside = 0
    for seed in range(60):
        low, high = sampled(Synthetic(5, lambda z: 4.0 - z[:, 0]), seed).interval
        inside += low <= p <= high
    # 95 % of 60 is 57; below 50 has a probability of 1e-4.
    assert inside >= 50


def test_the_same_seed_gives_the_same_figure(tmp_path: Path) -> None:
    assessment = single(tmp_path, band(threshold_failing(1e-4), SIGMA))
    assert igniter_failure(assessment, 0, 0) == igniter_failure(assessment, 0, 0)
    assert igniter_failure(assessment, 0, 0, seed=2) != igniter_failure(assessment, 0, 0)
