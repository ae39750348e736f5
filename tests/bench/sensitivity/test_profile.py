"""Profile-likelihood intervals: solved exactly, open where the shots bound nothing, and true to
their confidence."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import binom

from bridgewire.bench.sensitivity.extremes import all_fire, no_fire
from bridgewire.bench.sensitivity.fit import Fit, NoFit, fit, log_likelihood_at
from bridgewire.bench.sensitivity.links import LINKS, LOGIT, PROBIT, Link
from bridgewire.bench.sensitivity.profile import (
    critical,
    profile_interval,
    profile_loss,
    unbounded,
)
from bridgewire.bench.sensitivity.trials import from_groups, from_shots
from tests.agreements import Agreement
from tests.bench.sensitivity.data_sets import fitted

PROFILE = Agreement(
    "profile-likelihood",
    oracle="scipy `minimize_scalar`",
    what="profile of the likelihood of a level, all links",
    limit=1e-6,
    unit="of the likelihood ratio",
    package="scipy",
)
EVERY_LINK = pytest.mark.parametrize("link", LINKS.values(), ids=list(LINKS))


@pytest.mark.parametrize(
    ("confidence", "sides", "value"),
    # chi-square points with one degree of freedom (any table): 0.95, 0.90, 0.99
    [(0.95, 2, 3.8415), (0.95, 1, 2.7055), (0.99, 2, 6.6349)],
)
def test_critical_values(confidence: float, sides: int, value: float) -> None:
    assert critical(confidence, sides) == pytest.approx(value, abs=5e-5)


@EVERY_LINK
@pytest.mark.parametrize("p", [0.001, 0.3, 0.5, 0.999])
def test_the_loss_is_that_of_the_best_slope(link: Link, p: float) -> None:
    found = fitted("beetles", link)
    for x in (found.quantile(p) - 0.02, found.quantile(p) + 0.01):
        eta = link.quantile(p)
        best = minimize_scalar(
            lambda b, x=x, eta=eta: -log_likelihood_at(found, eta - b * x, b),
            bounds=(0.0, 200.0),
            method="bounded",
            options={"xatol": 1e-9},
        )
        PROFILE.close(profile_loss(found, p, x), 2.0 * (found.log_likelihood + best.fun))


@EVERY_LINK
@pytest.mark.parametrize("p", [0.05, 0.5, 0.999])
def test_the_ends_are_the_ends_of_the_likelihood_region(link: Link, p: float) -> None:
    """The level of every curve on the edge of the region of (b0, b1), by walking along rays."""
    found = fitted("beetles", link)
    low_high = profile_interval(found, p)
    roots = np.linalg.cholesky(found.covariance)
    levels = []
    for angle in np.linspace(0.0, 2.0 * math.pi, 721):
        ray = roots @ np.array([math.cos(angle), math.sin(angle)])
        inside, outside = 0.0, 10.0
        for _ in range(45):
            middle = 0.5 * (inside + outside)
            at = log_likelihood_at(found, found.b0 + middle * ray[0], found.b1 + middle * ray[1])
            if 2.0 * (found.log_likelihood - at) <= critical(0.95, 2):
                inside = middle
            else:
                outside = middle
        b0, b1 = found.b0 + inside * ray[0], found.b1 + inside * ray[1]
        levels.append((link.quantile(p) - b0) / b1)
    width = low_high.high - low_high.low
    assert min(levels) == pytest.approx(low_high.low, abs=2e-4 * width)
    assert max(levels) == pytest.approx(low_high.high, abs=2e-4 * width)


def test_at_an_end_the_loss_is_the_critical_value() -> None:
    found = fitted("thirty-shots", PROBIT)
    ends = profile_interval(found, 0.5, 0.9)
    for end in (ends.low, ends.high):
        assert profile_loss(found, 0.5, end) == pytest.approx(critical(0.9, 2), abs=1e-8)
    assert ends.low < found.mu < ends.high


def test_a_bound_is_open_exactly_where_flat_curves_are_as_good() -> None:
    """Gorla et al., Table 9: 15 shots do not show at 95 % that the level matters at all."""
    found = fitted("fatigue-951", PROBIT)
    assert 2.0 * (found.log_likelihood - found.null_log_likelihood) < critical(0.95, 2)
    ends = profile_interval(found, 0.5)
    assert (ends.low, ends.high) == (-math.inf, math.inf)
    assert all_fire(found).bound is None
    assert no_fire(found).bound is None
    # at less confidence the same shots do bound it
    less = profile_interval(found, 0.5, 0.6)
    assert -math.inf < less.low < found.mu < less.high < math.inf


def test_one_side_can_be_open_alone() -> None:
    found = fit(from_shots([1, 2, 3, 4, 5, 6, 6, 6], [0, 1, 1, 0, 1, 1, 1, 1]), LOGIT)
    assert isinstance(found, Fit)
    low, high = unbounded(found, 0.5, critical(0.95, 2))
    assert (low, high) == (True, False)
    ends = profile_interval(found, 0.5)
    assert ends.low == -math.inf
    assert math.isfinite(ends.high)
    # just inside infinity the loss stays below the limit, on the other side it passes it
    assert profile_loss(found, 0.5, -1e6) < critical(0.95, 2)
    assert profile_loss(found, 0.5, 1e6) > critical(0.95, 2)


@EVERY_LINK
def test_more_confidence_is_wider_and_one_side_is_narrower(link: Link) -> None:
    found = fitted("twenty-five-shots", link)
    two, one = profile_interval(found, 0.5), profile_interval(found, 0.5, sides=1)
    wide = profile_interval(found, 0.5, 0.99)
    assert wide.low < two.low < one.low < one.high < two.high < wide.high


@pytest.mark.parametrize("confidence", [0.5, 1.0, 0.0, 1.5])
def test_a_confidence_that_is_none_is_refused(confidence: float) -> None:
    with pytest.raises(ValueError, match="confidence"):
        critical(confidence, 2)


@pytest.mark.parametrize("p", [0.5, 0.999])
def test_intervals_hold_the_truth_as_often_as_they_say(p: float) -> None:
    """200 simulated trials of 5 levels by 30 shots; the count of hits is binomial."""
    rng = np.random.default_rng(20)
    draws, sigma, middle = 200, 1.5, 10.0
    truth = middle + sigma * PROBIT.quantile(p)
    x = np.array([8.0, 9.0, 10.0, 11.0, 12.0])
    both = above = 0
    for _ in range(draws):
        lit = rng.binomial(30, PROBIT.probability((x - middle) / sigma))
        found = fit(from_groups(x.tolist(), [30] * 5, lit.tolist()), PROBIT)
        assert not isinstance(found, NoFit)
        ends = profile_interval(found, p)
        both += ends.low <= truth <= ends.high
        above += profile_loss(found, p, truth) <= critical(0.95, 1) or truth < found.quantile(p)
    low, high = binom.ppf([1e-4, 1.0 - 1e-4], draws, 0.95)
    assert low <= both <= high
    assert low <= above <= high
