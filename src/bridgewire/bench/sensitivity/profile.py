"""Profile-likelihood intervals of levels: every level that the trials do not rule out.

At a level x held to be the one at which a share p lights, the slope is chosen to suit the trials
best; the level is ruled out where twice the loss of log-likelihood exceeds the chi-square point
(S. S. Wilks, Ann. Math. Stat. 9 (1938) 60; from memory). The slope may be 0 but not negative:
igniters do not light less at a higher level. Confidences are those of large samples.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from attrs import frozen
from scipy.special import ndtri

from bridgewire.bench.sensitivity.fit import Fit, constant_log_likelihood
from bridgewire.bench.sensitivity.newton import log_likelihood

_MOST = 200


@frozen
class Interval:
    """Bounds on the scale; infinite where the trials do not bound the level."""

    low: float
    high: float


def critical(confidence: float, sides: int) -> float:
    """Loss of twice the log-likelihood at a bound.

    Parameters
    ----------
    confidence : float
        Above 0.5 and below 1.
    sides : int
        2: both bounds together hold with that confidence; 1: each by itself does.

    Raises
    ------
    ValueError
        If the confidence is not between 0.5 and 1.

    Examples
    --------
    >>> round(critical(0.95, 2), 4), round(critical(0.95, 1), 4)
    (3.8415, 2.7055)
    """
    if not 0.5 < confidence < 1.0:
        raise ValueError("a confidence is above 0.5 and below 1")
    z = float(ndtri(0.5 + 0.5 * confidence if sides == 2 else confidence))
    return z * z


def profile_loss(fitted: Fit, p: float, x: float) -> float:
    """Twice the loss of log-likelihood where a share p is held to light at x.

    Parameters
    ----------
    fitted : Fit
    p : float
        Above 0 and below 1.
    x : float
        On the scale of the fit.
    """
    eta = fitted.link.quantile(p)
    t, distance = fitted.trials, fitted.x - x

    def slope_and_bend(b: float) -> tuple[float, float]:
        s = fitted.link.slopes(eta + b * distance)
        unlit = t.tried - t.lit
        first = float((distance * (t.lit * s.lit - unlit * s.unlit)).sum())
        second = float((distance**2 * (t.lit * s.lit_bend + unlit * s.unlit_bend)).sum())
        return first, second

    b = _root_of_falling(slope_and_bend, fitted.b1)
    value = log_likelihood(eta + b * distance, t.tried, t.lit, fitted.link)
    return 2.0 * (fitted.log_likelihood - value)


def _root_of_falling(f: Callable[[float], tuple[float, float]], guess: float) -> float:
    """The b >= 0 at which a falling function is 0, given with minus its slope; 0 if none."""
    if f(0.0)[0] <= 0.0:
        return 0.0
    low, high = 0.0, max(guess, 1e-300)
    while f(high)[0] > 0.0:
        low, high = high, high * 4.0
        if high > 1e300:
            raise ArithmeticError("the profile likelihood has no maximum")
    b = high
    for _ in range(_MOST):
        value, fall = f(b)
        if value > 0.0:
            low = b
        else:
            high = b
        step = value / fall if fall > 0.0 else math.nan
        after = b + step
        if not low <= after <= high:
            after = 0.5 * (low + high)
        if abs(after - b) <= 1e-13 * (abs(b) + 1e-300) or high - low <= 1e-14 * high:
            return after
        b = after
    return b


def profile_interval(fitted: Fit, p: float, confidence: float = 0.95, sides: int = 2) -> Interval:
    """Interval of the level at which a share p lights, on the scale of the fit.

    Parameters
    ----------
    fitted : Fit
    p : float
        Above 0 and below 1.
    confidence : float
    sides : int
        2, or 1: then low and high are two one-sided bounds.

    Returns
    -------
    Interval
        A bound is infinite exactly where curves that do not rise at all, or ever less, stay within
        the limit: the trials then do not bound the level on that side.

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.fit import fit
    >>> from bridgewire.bench.sensitivity.links import LOGIT
    >>> from bridgewire.bench.sensitivity.trials import from_groups
    >>> found = fit(from_groups([1, 2, 3], [20, 20, 20], [3, 10, 17]), LOGIT)
    >>> i = profile_interval(found, 0.5)
    >>> round(i.low + i.high, 6)
    4.0
    """
    limit = critical(confidence, sides)
    best = fitted.quantile(p)
    low, high = unbounded(fitted, p, limit)
    return Interval(
        -math.inf if low else _end(fitted, p, limit, best, -1.0),
        math.inf if high else _end(fitted, p, limit, best, 1.0),
    )


def unbounded(fitted: Fit, p: float, limit: float) -> tuple[bool, bool]:
    """Whether the level for a share p has no lower, and no upper bound.

    As the level goes to minus infinity its best curves become flat with a share of p or more; to
    plus infinity, flat with a share of p or less.
    """
    t = fitted.trials
    share = t.shots_lit / t.shots
    below = 2.0 * (fitted.log_likelihood - constant_log_likelihood(t, max(share, p)))
    above = 2.0 * (fitted.log_likelihood - constant_log_likelihood(t, min(share, p)))
    return below <= limit, above <= limit


def _end(fitted: Fit, p: float, limit: float, best: float, sign: float) -> float:
    """The end on one side, by false position on the root of the loss, which is nearly straight."""
    goal = math.sqrt(limit)

    def beyond(x: float) -> float:
        return math.sqrt(max(profile_loss(fitted, p, x), 0.0)) - goal

    inside, short = best, -goal
    step = fitted.sigma
    while True:
        outside = best + sign * step
        long = beyond(outside)
        if long > 0.0:
            break
        inside, short = outside, long
        step *= 2.0
        if step > 1e12 * (fitted.sigma + float(np.ptp(fitted.x))):
            return sign * math.inf
    last = 0
    for _ in range(_MOST):
        width = outside - inside
        if abs(width) <= 1e-12 * (abs(inside - best) + fitted.sigma):
            break
        x = inside - short * width / (long - short)
        if not min(inside, outside) < x < max(inside, outside):
            x = inside + 0.5 * width
            if x in (inside, outside):
                break
        value = beyond(x)
        if abs(value) <= 1e-13 * goal:
            return x
        if value > 0.0:
            outside, long = x, value
            short *= 0.5 if last == 1 else 1.0
            last = 1
        else:
            inside, short = x, value
            long *= 0.5 if last == -1 else 1.0
            last = -1
    return 0.5 * (inside + outside)
