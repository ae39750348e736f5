"""Against statsmodels: generalised linear models of the same data."""

from __future__ import annotations

import numpy as np
import pytest

from tests.oracles import oracle_or_skip

oracle_or_skip("statsmodels")

import statsmodels.api as sm  # noqa: E402

from bridgewire.bench.sensitivity.fit import Fit, fit  # noqa: E402
from bridgewire.bench.sensitivity.links import LINKS  # noqa: E402
from bridgewire.bench.sensitivity.misfit import misfit  # noqa: E402
from bridgewire.bench.sensitivity.trials import to_scale  # noqa: E402
from tests.agreements import Agreement  # noqa: E402
from tests.bench.sensitivity.data_sets import SETS, trials_of  # noqa: E402

pytestmark = pytest.mark.oracle

FIT = Agreement(
    "statsmodels-fit",
    oracle="statsmodels `GLM`, binomial family",
    what="coefficients of probit, logit and complementary log-log fits, on published sets",
    limit=1e-6,
    package="statsmodels",
)
ERRORS = Agreement(
    "statsmodels-errors",
    oracle="statsmodels `GLM` and `Probit`/`Logit`",
    what="standard errors of those coefficients, expected and observed information",
    limit=1e-5,
    package="statsmodels",
)
LIKELIHOOD = Agreement(
    "statsmodels-likelihood",
    oracle="statsmodels `Probit` and `Logit`",
    what="log-likelihood of single shots, fitted and null",
    limit=1e-8,
    package="statsmodels",
)

THEIRS = {
    "probit": sm.families.links.Probit,
    "logit": sm.families.links.Logit,
    "cloglog": sm.families.links.CLogLog,
}


@pytest.mark.parametrize("scale", ["linear", "log10"])
@pytest.mark.parametrize("link", list(THEIRS))
@pytest.mark.parametrize("name", list(SETS))
def test_the_fit_is_that_of_a_generalised_linear_model(name: str, link: str, scale: str) -> None:
    t = trials_of(name)
    ours = fit(t, LINKS[link], scale)
    assert isinstance(ours, Fit)
    x = to_scale(t.level, scale)
    model = sm.GLM(
        np.column_stack([t.lit, t.tried - t.lit]),
        sm.add_constant(x),
        family=sm.families.Binomial(THEIRS[link]()),
    )
    theirs = model.fit(tol=1e-13, maxiter=200)
    FIT.close([ours.b0, ours.b1], theirs.params)
    ERRORS.close(ours.se_coefficients, theirs.bse)
    tests = misfit(ours)
    assert tests.deviance == pytest.approx(float(theirs.deviance), rel=1e-7, abs=1e-9)
    assert tests.pearson == pytest.approx(float(theirs.pearson_chi2), rel=1e-6)
    assert tests.df == theirs.df_resid


@pytest.mark.parametrize("link", ["probit", "logit"])
def test_the_log_likelihood_is_that_of_single_shots(link: str) -> None:
    t = trials_of("thirty-shots")
    assert t.order is not None
    x = np.array([v for v, _ in t.order])
    y = np.array([float(lit) for _, lit in t.order])
    kind = sm.Probit if link == "probit" else sm.Logit
    theirs = kind(y, sm.add_constant(x)).fit(disp=0, method="newton", maxiter=100)
    ours = fit(t, LINKS[link], information="observed")
    assert isinstance(ours, Fit)
    LIKELIHOOD.close(ours.log_likelihood, float(theirs.llf))
    LIKELIHOOD.close(ours.null_log_likelihood, float(theirs.llnull))
    ERRORS.close(ours.se_coefficients, theirs.bse)
