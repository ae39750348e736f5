"""Every published set: our fit gives each printed digit. Sources stand in the set's file."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from bridgewire.bench.sensitivity.approximate import level_from_covariance
from bridgewire.bench.sensitivity.fit import Fit, fit
from bridgewire.bench.sensitivity.links import LINKS, LOGIT, PROBIT
from bridgewire.bench.sensitivity.misfit import misfit
from bridgewire.bench.sensitivity.newton import maximise
from bridgewire.bench.sensitivity.trials import from_groups, from_shots
from tests.agreements import Agreement
from tests.bench.sensitivity.data_sets import (
    SETS,
    Printed,
    computed,
    fitted,
    printed_values,
    trials_of,
)

PRINTED = printed_values()
DIGITS = Agreement(
    "sensitivity-published",
    oracle="thirteen published data sets with printed fits (sources in the sets' files)",
    what="coefficients, errors, levels, limits, deviances and fitted counts",
    limit=1.0,
    unit="of the tolerance: half of the last printed digit, wider where a set's file says why",
    differences="Papers stop early, misprint or round; each case is a test of its own.",
)


@pytest.mark.parametrize("printed", PRINTED, ids=[p.id for p in PRINTED])
def test_a_printed_value_is_met(printed: Printed) -> None:
    ours = computed(printed)
    assert len(ours) == len(printed.digits)
    for value, digits in zip(ours, printed.digits, strict=True):
        DIGITS.within((value - float(digits)) / printed.tolerance(digits))


def test_every_set_names_its_source_and_every_loose_value_its_reason() -> None:
    assert len(SETS) == 13
    for data in SETS.values():
        assert data["source"]
        assert all(("loose" in e) == ("within" in e) for e in data["expect"])


@pytest.mark.parametrize("digits", ["-20.77376", "13.56263"])
def test_trap_the_drop_test_paper_stopped_early(digits: str) -> None:
    """Hamada et al. (2019): its coefficients are not those of the maximum in the last digits."""
    found = fitted("drop-test", PROBIT, "log10")
    ours = min((found.b0, found.b1), key=lambda v: abs(v - float(digits)))
    assert abs(ours - float(digits)) > 1e-5


def test_trap_the_beetle_page_prints_60_killed_but_fits_61() -> None:
    """glmlab example gli_30: table 60 at 1.8610, fit of 61 (Bliss 1935)."""
    data = SETS["beetles"]
    misprinted = [60 if x == 1.8610 else k for x, k in zip(data["level"], data["lit"], strict=True)]
    wrong = fit(from_groups(data["level"], data["tried"], misprinted), LOGIT)
    assert isinstance(wrong, Fit)
    assert abs(wrong.b0 - -60.717455) > 0.5
    assert fitted("beetles", LOGIT).b0 == pytest.approx(-60.717455, abs=5e-7)


def test_trap_links_differ_far_out_more_than_their_errors() -> None:
    """Published quantiles of the beetles at 0.999 differ by far more than those at one half."""
    at = {link.name: fitted("beetles", link) for link in LINKS.values()}
    spread = {
        p: max(f.quantile(p) for f in at.values()) - min(f.quantile(p) for f in at.values())
        for p in (0.5, 0.999)
    }
    assert spread[0.5] < 0.01
    assert spread[0.999] > 0.08
    assert (
        at["cloglog"].quantile(0.999) < at["probit"].quantile(0.999) < at["logit"].quantile(0.999)
    )


def test_a_misfit_is_called_out_and_a_fit_is_not() -> None:
    """Morgan (1992): the logistic curve does not fit deguelin. Bliss: cloglog fits the beetles."""
    assert misfit(fitted("deguelin", LOGIT)).called_out
    assert not misfit(fitted("beetles", LINKS["cloglog"])).called_out
    assert not misfit(fitted("lampricide", PROBIT, "log10")).called_out


def test_expected_information_gives_the_printed_errors_observed_does_not() -> None:
    """gonogo "MIL-STD-331 Ex.": 0.43871 and 0.39800 are by Fisher (expected) information."""
    found = fit(trials_of("standard-example"), PROBIT, information="observed")
    assert isinstance(found, Fit)
    assert abs(found.se_mu - 0.43871) > 5e-5
    assert abs(found.se_sigma - 0.39800) > 5e-3


def test_two_curves_with_one_slope() -> None:
    """Budworm (Venables, Ripley, MASS): 20 each at log2 dose 0..5; published dose.p at 0.25
    (female) 2.231265, SE 0.2499089 (investr read-me; converged it is 0.24990896); the others are
    cross-checks."""

    dose = np.arange(6.0)
    design = np.zeros((12, 3))
    design[:6, 0] = design[6:, 1] = 1.0
    design[:, 2] = [*dose, *dose]
    lit = np.array([0.0, 2, 6, 10, 12, 16, 1, 4, 9, 13, 18, 20])
    found = maximise(design, np.full(12, 20.0), lit, LOGIT)
    female, male, slope = found.coefficients
    assert female == pytest.approx(-3.473155, abs=5e-7)
    assert male == pytest.approx(-2.372412, abs=5e-7)
    assert slope == pytest.approx(1.064214, abs=5e-7)
    covariance: NDArray[np.float64] = np.asarray(
        np.linalg.inv(found.expected)[np.ix_([0, 2], [0, 2])], dtype=np.float64
    )
    printed = {0.25: (2.231265, 0.2499089), 0.5: (3.263587, 0.229754), 0.75: (4.295910, 0.274687)}
    for p, (value, se) in printed.items():
        near = level_from_covariance(female, slope, covariance, LOGIT.quantile(p))
        assert near.value == pytest.approx(value, abs=5e-7)
        assert near.se == pytest.approx(se, abs=5e-7 if p != 0.25 else 1e-7)


def test_single_shots_and_counts_give_the_same_curve() -> None:
    t = trials_of("grouped-73")
    shots = [
        (x, 1.0 if i < k else 0.0)
        for x, n, k in zip(t.level, t.tried, t.lit, strict=True)
        for i in range(int(n))
    ]
    single = fit(from_shots([x for x, _ in shots], [int(y) for _, y in shots]), PROBIT)
    assert isinstance(single, Fit)
    assert single.mu == pytest.approx(fitted("grouped-73", PROBIT).mu, rel=1e-12)
