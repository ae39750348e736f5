"""Zero-failure statements, and all-fire and no-fire by the published definition."""

from __future__ import annotations

import pytest
from scipy.stats import binom

from bridgewire.bench.sensitivity.analysis import analyse
from bridgewire.bench.sensitivity.counts import (
    largest_share,
    shots_without_failure,
    shown_reliability,
)
from bridgewire.bench.sensitivity.extremes import (
    CONFIDENCE,
    RELIABILITY,
    all_fire,
    no_fire,
    other_curves,
)
from bridgewire.bench.sensitivity.fit import Fit, fit
from bridgewire.bench.sensitivity.links import LINKS, PROBIT
from bridgewire.bench.sensitivity.profile import critical, profile_loss
from bridgewire.bench.sensitivity.trials import from_groups, to_scale
from tests.agreements import Agreement
from tests.bench.sensitivity.data_sets import trials_of

COUNTS = Agreement(
    "counts-binomial",
    oracle="scipy `binom` at the bound of Clopper and Pearson (1934)",
    what="least reliability that so many shots show at 95 %",
    limit=1e-9,
    package="scipy",
)


@pytest.mark.parametrize(
    ("reliability", "shots"), [(0.90, 29), (0.95, 59), (0.99, 299), (0.995, 598), (0.999, 2995)]
)
def test_shots_without_failure(reliability: float, shots: int) -> None:
    """Success-run sample sizes at 95 %: n = ceil(ln 0.05 / ln R)."""
    assert shots_without_failure(reliability, 0.95) == shots
    assert shown_reliability(shots, shots) >= reliability > shown_reliability(shots - 1, shots - 1)


@pytest.mark.parametrize(("lit", "tried"), [(1, 1), (9, 10), (3, 8), (2990, 2995)])
def test_the_bound_is_the_exact_binomial_one(lit: int, tried: int) -> None:
    """Clopper and Pearson (1934): at the bound, so many lit or more have probability 0.05."""
    at = shown_reliability(lit, tried)
    COUNTS.close(float(binom.sf(lit - 1, tried, at)), 0.05)
    assert largest_share(tried - lit, tried) == pytest.approx(1.0 - at, rel=1e-12)


def test_nothing_lit_shows_nothing() -> None:
    assert shown_reliability(0, 5) == 0.0
    assert largest_share(5, 5) == 1.0


@pytest.mark.parametrize(("lit", "tried"), [(2, 1), (-1, 1), (0, 0)])
def test_impossible_counts_are_refused(lit: int, tried: int) -> None:
    with pytest.raises(ValueError, match="tried"):
        shown_reliability(lit, tried)


@pytest.mark.parametrize(("r", "c"), [(0.0, 0.9), (1.0, 0.9), (0.9, 0.0), (0.9, 1.0)])
def test_impossible_demands_are_refused(r: float, c: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        shots_without_failure(r, c)


def test_the_definition_is_the_published_one() -> None:
    """14 CFR part 417, appendix D, D417.41(b), (c): reliability 0.999 at 95 % confidence."""
    assert (RELIABILITY, CONFIDENCE) == (0.999, 0.95)


def test_bounds_lie_outside_the_estimates_and_on_the_limit() -> None:
    found = fit(trials_of("beetles"), PROBIT)
    assert isinstance(found, Fit)
    high, low = all_fire(found), no_fire(found)
    # cross-check of the estimate: published.md 6.5, probit p.999 1.927495
    assert high.estimate == pytest.approx(1.927495, abs=5e-7)
    assert high.bound is not None
    assert low.bound is not None
    assert low.bound < low.estimate < high.estimate < high.bound
    assert profile_loss(found, 0.999, high.bound) == pytest.approx(critical(0.95, 1), abs=1e-8)
    assert profile_loss(found, 0.001, low.bound) == pytest.approx(critical(0.95, 1), abs=1e-8)
    assert high.beyond == pytest.approx((1.927495 - 1.8839) / found.sigma, rel=1e-4)


def test_bounds_on_a_logarithmic_scale_are_levels() -> None:
    t = trials_of("standard-example")
    on_ln, on_log10 = fit(t, PROBIT, "ln"), fit(t, PROBIT, "log10")
    assert isinstance(on_ln, Fit)
    assert isinstance(on_log10, Fit)
    a, b = all_fire(on_ln), all_fire(on_log10)
    assert a.bound == pytest.approx(b.bound, rel=1e-9)
    assert a.bound is not None
    x = float(to_scale(a.bound, "ln"))
    assert profile_loss(on_ln, 0.999, x) == pytest.approx(critical(0.95, 1), abs=1e-7)


def test_other_curves_are_all_links_on_both_scales() -> None:
    found = fit(trials_of("standard-example"), PROBIT)
    assert isinstance(found, Fit)
    others = other_curves(found)
    assert [(o.link, o.scale) for o in others] == [
        (link, scale) for scale in ("linear", "log10") for link in LINKS
    ]
    own = others[0].all_fire
    assert own is not None
    assert own.bound == all_fire(found).bound


def test_levels_at_or_below_zero_have_no_logarithmic_curves() -> None:
    a = analyse(from_groups([-1, 0, 1], [20, 20, 20], [3, 10, 17]), PROBIT)
    assert {o.scale for o in a.others} == {"linear"}
