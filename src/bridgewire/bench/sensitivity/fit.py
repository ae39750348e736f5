"""One response curve fitted to go/no-go trials, or the reason why none can be."""

from __future__ import annotations

import math

import numpy as np
from attrs import frozen

from bridgewire.bench.sensitivity.links import Array, Link
from bridgewire.bench.sensitivity.newton import Maximum, log_likelihood, maximise
from bridgewire.bench.sensitivity.overlap import Levels, Pattern, overlap
from bridgewire.bench.sensitivity.trials import Trials, from_scale, to_scale


@frozen
class NoFit:
    """No curve can be computed: why, and what the trials tell all the same."""

    reason: str
    """``all lit``, ``none lit``, ``one level``, ``separated``, ``one-point overlap``,
    ``reversed``, ``falling``, ``not bracketed`` or ``not settled``."""
    levels: Levels
    none_lit_up_to: float | None
    """Highest level at and below which nothing lit; None: there is none."""
    all_lit_from: float | None
    """Lowest level at and above which everything lit; None: there is none."""


@frozen(eq=False)
class Fit:
    """A response curve ``p = F(b0 + b1 x)`` by maximum likelihood; x is the level on the scale."""

    trials: Trials
    link: Link
    scale: str
    middle: float
    """Place on the scale that the coefficients of `maximum` are taken from: within the overlap."""
    maximum: Maximum
    """Of ``F(a + b1 (x - middle))``."""
    null_log_likelihood: float
    """Of a curve that does not depend on the level."""
    information: str
    """``expected`` (Fisher) or ``observed``: what the standard errors come from."""

    @property
    def x(self) -> Array:
        """Levels on the scale."""
        return to_scale(self.trials.level, self.scale)

    @property
    def b0(self) -> float:
        """Intercept."""
        return float(self.maximum.coefficients[0]) - self.b1 * self.middle

    @property
    def b1(self) -> float:
        """Slope per unit of the scale, above 0."""
        return float(self.maximum.coefficients[1])

    @property
    def mu(self) -> float:
        """Place of the curve on the scale: where ``b0 + b1 x`` is 0."""
        return self.middle - float(self.maximum.coefficients[0]) / self.b1

    @property
    def sigma(self) -> float:
        """Spread of the curve on the scale: 1 / b1."""
        return 1.0 / self.b1

    @property
    def covariance(self) -> Array:
        """Covariance of (b0, b1): the inverse of the information."""
        shift = np.array([[1.0, -self.middle], [0.0, 1.0]])
        return np.asarray(shift @ self.centred_covariance @ shift.T)

    @property
    def centred_covariance(self) -> Array:
        """Covariance of the coefficients of `maximum`; no digits are lost to a far zero."""
        m = self.maximum
        chosen = m.expected if self.information == "expected" else m.observed
        size = np.sqrt(np.diag(chosen))
        back = np.outer(size, size)
        return np.asarray(np.linalg.inv(chosen / back) / back)

    @property
    def se_coefficients(self) -> tuple[float, float]:
        """Standard errors of b0 and b1."""
        spread = np.sqrt(np.diag(self.covariance))
        return float(spread[0]), float(spread[1])

    @property
    def se_mu(self) -> float:
        """Standard error of mu by the delta method."""
        g = np.array([-1.0, -(self.mu - self.middle)]) / self.b1
        return math.sqrt(float(g @ self.centred_covariance @ g))

    @property
    def se_sigma(self) -> float:
        """Standard error of sigma by the delta method."""
        return math.sqrt(float(self.centred_covariance[1, 1])) / self.b1 / self.b1

    @property
    def log_likelihood(self) -> float:
        """At the maximum, without the binomial coefficients."""
        return self.maximum.log_likelihood

    @property
    def fitted(self) -> Array:
        """Expected number lit in each group."""
        return self.trials.tried * self.link.probability(self.eta)

    @property
    def eta(self) -> Array:
        """``b0 + b1 x`` of each group."""
        first = float(self.maximum.coefficients[0])
        return np.asarray(first + self.b1 * (self.x - self.middle))

    def quantile(self, p: float) -> float:
        """Level, on the scale, at which a share p lights."""
        first = float(self.maximum.coefficients[0])
        return self.middle + (self.link.quantile(p) - first) / self.b1

    def level(self, p: float) -> float:
        """Level, in the unit of the trials, at which a share p lights."""
        return from_scale(self.quantile(p), self.scale)


def fit(
    trials: Trials, link: Link, scale: str = "linear", *, information: str = "expected"
) -> Fit | NoFit:
    """Fit a response curve, if there is one to fit.

    Parameters
    ----------
    trials : Trials
    link : Link
    scale : str
        ``linear``, ``ln`` or ``log10``: what the curve is straight on.
    information : str
        ``expected`` (as in tables of generalised linear models) or ``observed``.

    Returns
    -------
    Fit or NoFit
        No fit where the lit and unlit levels do not overlap, where the curve would fall, and where
        the trials neither show that the level matters (likelihood ratio below 3.84) nor hold the
        middle of the curve between their lowest and highest level: then a maximum exists, but it
        is a guess about levels that were not tried.

    Raises
    ------
    ValueError
        If the scale or kind of information is unknown, or a level does not fit the scale.

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.links import LOGIT
    >>> from bridgewire.bench.sensitivity.trials import from_groups
    >>> found = fit(from_groups([1, 2, 3], [10, 10, 10], [2, 5, 8]), LOGIT)
    >>> round(found.mu, 6)
    2.0
    >>> from bridgewire.bench.sensitivity.trials import from_shots
    >>> fit(from_shots([13, 14, 15, 16], [0, 0, 1, 1]), LOGIT).reason
    'separated'
    """
    if information not in ("expected", "observed"):
        raise ValueError(f"no such information: {information!r} (expected or observed)")
    x = to_scale(trials.level, scale)
    levels = overlap(trials)
    if levels.pattern is not Pattern.OVERLAP:
        return NoFit(levels.pattern.value, levels, *_clear_ends(trials, levels))
    # The overlap decides the curve: taken from there, its numbers keep their digits.
    inside = (x >= x[trials.lit > 0].min()) & (x <= x[trials.lit < trials.tried].max())
    middle = 0.5 * float(x[inside].min() + x[inside].max())
    width = float(np.ptp(x[inside]))
    design = np.column_stack([np.ones_like(x), (x - middle) / width])
    try:
        found = maximise(design, trials.tried, trials.lit, link)
    except ArithmeticError:
        return NoFit("not settled", levels, *_clear_ends(trials, levels))
    slope = float(found.coefficients[1]) / width
    if slope <= 1e-9 / float(np.ptp(x)):
        return NoFit("falling", levels, *_clear_ends(trials, levels))
    null = null_log_likelihood(trials)
    half = middle + (link.quantile(0.5) - float(found.coefficients[0])) / slope
    gain = 2.0 * (found.log_likelihood - null)
    if gain < _MATTERS and not float(x.min()) <= half <= float(x.max()):
        return NoFit("not bracketed", levels, *_clear_ends(trials, levels))
    back = np.array([1.0, width])
    maximum = Maximum(
        np.array([float(found.coefficients[0]), slope]),
        found.log_likelihood,
        found.expected * np.outer(back, back),
        found.observed * np.outer(back, back),
    )
    return Fit(trials, link, scale, middle, maximum, null, information)


_MATTERS = 3.841458820694124
"""95 % point of chi-square with one degree of freedom."""


def _clear_ends(trials: Trials, levels: Levels) -> tuple[float | None, float | None]:
    """Highest level at and below which nothing lit, lowest at and above which everything lit."""
    low = high = None
    below = (
        trials.level
        if levels.lowest_lit is None
        else trials.level[trials.level < levels.lowest_lit]
    )
    above = (
        trials.level
        if levels.highest_unlit is None
        else trials.level[trials.level > levels.highest_unlit]
    )
    if below.size:
        low = float(below.max())
    if above.size:
        high = float(above.min())
    return low, high


def null_log_likelihood(trials: Trials) -> float:
    """Log-likelihood of one probability for all levels: the share lit.

    >>> from bridgewire.bench.sensitivity.trials import from_shots
    >>> round(null_log_likelihood(from_shots([1.0, 2.0], [0, 1])), 6)
    -1.386294
    """
    return constant_log_likelihood(trials, trials.shots_lit / trials.shots)


def constant_log_likelihood(trials: Trials, p: float) -> float:
    """Log-likelihood of the probability p at every level; minus infinity if it is impossible."""
    yes, no = trials.shots_lit, trials.shots - trials.shots_lit
    if (p <= 0.0 and yes) or (p >= 1.0 and no):
        return -math.inf
    return (yes * math.log(p) if yes else 0.0) + (no * math.log1p(-p) if no else 0.0)


def log_likelihood_at(fitted: Fit, b0: float, b1: float) -> float:
    """Log-likelihood of another curve of the same link for the same trials."""
    t = fitted.trials
    return log_likelihood(b0 + b1 * fitted.x, t.tried, t.lit, fitted.link)
