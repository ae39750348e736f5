"""Does the curve agree with the trials? Pearson's chi-square and the deviance."""

from __future__ import annotations

import numpy as np
from attrs import frozen
from scipy.special import chdtrc, xlogy

from bridgewire.bench.sensitivity.fit import Fit

DOUBTFUL = 0.05
"""Below this probability a misfit is called out."""
_FEW = 1.0
_ENOUGH = 5.0
_SHARE = 0.8


@frozen
class Misfit:
    """Tests of fit over the groups of the trials."""

    pearson: float
    deviance: float
    df: int
    """Groups less two."""
    pearson_p: float | None
    """Probability of a chi-square that large where the curve is right; None: no freedom left."""
    deviance_p: float | None
    dependable: bool
    """Whether there are shots enough at each level for the chi-square distribution to hold:
    expected numbers lit and unlit at least 1 everywhere, and 5 or more in four fifths of the
    cells (W. G. Cochran, Biometrics 10 (1954) 417-451; from memory)."""

    @property
    def called_out(self) -> bool:
        """Whether either test says that the curve does not fit."""
        return any(p is not None and p < DOUBTFUL for p in (self.pearson_p, self.deviance_p))


def misfit(fitted: Fit) -> Misfit:
    """Compare a curve with the groups of its trials.

    Parameters
    ----------
    fitted : Fit

    Returns
    -------
    Misfit
        Rows of counts are groups as given; single shots are grouped by level.

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.fit import fit
    >>> from bridgewire.bench.sensitivity.links import LOGIT
    >>> from bridgewire.bench.sensitivity.trials import from_groups
    >>> m = misfit(fit(from_groups([1, 2, 3], [10, 10, 10], [2, 5, 8]), LOGIT))
    >>> m.df, m.called_out
    (1, False)
    """
    n, k = fitted.trials.tried, fitted.trials.lit
    yes = fitted.fitted
    # taken from the other tail, so that a probability near 1 keeps its digits
    no = n * np.exp(fitted.link.log_unlit(fitted.eta))
    tiny = np.finfo(float).tiny
    gap = (k - yes) ** 2
    pearson = float((gap / np.maximum(yes, tiny) + gap / np.maximum(no, tiny)).sum())
    best = float((xlogy(k, k / n) + xlogy(n - k, (n - k) / n)).sum())
    deviance = max(2.0 * (best - fitted.log_likelihood), 0.0)
    df = int(n.size) - 2
    cells = np.concatenate([yes, no])
    dependable = bool(cells.min() >= _FEW and (cells >= _ENOUGH).mean() >= _SHARE)
    if df <= 0:
        return Misfit(pearson, deviance, df, None, None, dependable)
    p, q = float(chdtrc(df, pearson)), float(chdtrc(df, deviance))
    return Misfit(pearson, deviance, df, p, q, dependable)
