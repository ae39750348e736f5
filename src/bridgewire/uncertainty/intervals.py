"""Confidence intervals of probabilities from counts."""

from __future__ import annotations

import math
from functools import lru_cache

from attrs import frozen

CONFIDENCE = 0.95


@frozen
class Estimate:
    """A probability with its two-sided confidence interval."""

    value: float
    low: float
    high: float


@lru_cache(maxsize=65536)
def from_count(hits: int, draws: int, confidence: float = CONFIDENCE) -> Estimate:
    """Probability from `hits` in `draws`, with the Clopper-Pearson interval.

    Parameters
    ----------
    hits, draws : int
        ``0 <= hits <= draws``, draws at least 1.
    confidence : float
        Above 0 and below 1.

    Returns
    -------
    Estimate
        The interval holds the true probability with at least that confidence, whatever the
        probability.

    References
    ----------
    C. J. Clopper, E. S. Pearson, Biometrika 26 (1934), 404-413: the ends are those p at which the
    count, or one further out, has probability ``(1 - confidence) / 2``.

    Examples
    --------
    No hit in 10,000: at most ``1 - 0.025^(1/10000)``.

    >>> e = from_count(0, 10_000)
    >>> e.low, round(e.high, 7)
    (0.0, 0.0003688)
    """
    tail = 0.5 * (1.0 - confidence)
    low = 0.0 if hits == 0 else _root(hits, draws - hits + 1, tail)
    high = 1.0 if hits == draws else _root(hits + 1, draws - hits, 1.0 - tail)
    return Estimate(hits / draws, low, high)


def _root(a: int, b: int, target: float) -> float:
    """The x with ``I_x(a, b) = target``, by bisection."""
    low, high = 0.0, 1.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high) or high - low < 1e-14 * high:
            break
        if incomplete_beta(a, b, middle) < target:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def incomplete_beta(a: float, b: float, x: float) -> float:
    """Regularised incomplete beta function, by Lentz's continued fraction.

    >>> round(incomplete_beta(2, 3, 0.5), 10)
    0.6875
    """
    if x <= 0.0 or x >= 1.0:
        return float(x >= 1.0)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _fraction(a, b, x) / a
    return 1.0 - front * _fraction(b, a, 1.0 - x) / b


def _fraction(a: float, b: float, x: float) -> float:
    tiny = 1e-300
    c, d = 1.0, 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d if abs(d) > tiny else tiny)
    h = d
    for m in range(1, 10_000):
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 + numerator * d
            c = 1.0 + numerator / c
            d = 1.0 / (d if abs(d) > tiny else tiny)
            c = c if abs(c) > tiny else tiny
            h *= d * c
        if abs(d * c - 1.0) < 1e-15:
            break
    return h
