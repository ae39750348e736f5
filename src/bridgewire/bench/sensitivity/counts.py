"""What counts alone show, without any curve: n shots at one level, k of them lit."""

from __future__ import annotations

import math

from scipy.special import betaincinv


def shots_without_failure(reliability: float, confidence: float) -> int:
    """Shots that must all succeed to show a reliability: ``ceil(ln(1 - C) / ln R)``.

    Parameters
    ----------
    reliability, confidence : float
        Above 0 and below 1.

    Returns
    -------
    int

    Raises
    ------
    ValueError
        If a value is not between 0 and 1.

    Examples
    --------
    >>> shots_without_failure(0.999, 0.95), shots_without_failure(0.9, 0.95)
    (2995, 29)
    """
    if not (0.0 < reliability < 1.0 and 0.0 < confidence < 1.0):
        raise ValueError("reliability and confidence are above 0 and below 1")
    ratio = math.log1p(-confidence) / math.log(reliability)
    return max(1, math.ceil(ratio - 1e-9))


def shown_reliability(lit: int, tried: int, confidence: float = 0.95) -> float:
    """Reliability that k of n shots show at one level: the exact one-sided lower bound.

    Parameters
    ----------
    lit, tried : int
        ``0 <= lit <= tried``, tried at least 1.
    confidence : float

    Returns
    -------
    float

    Raises
    ------
    ValueError
        If the counts are not possible.

    References
    ----------
    C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413.

    Examples
    --------
    With no failure it is ``(1 - C)^(1/n)``:

    >>> round(shown_reliability(2995, 2995), 6), round(shown_reliability(9, 10), 4)
    (0.999, 0.6058)
    """
    if not (0 <= lit <= tried and tried >= 1):
        raise ValueError("lit is 0 to tried, tried at least 1")
    if lit == 0:
        return 0.0
    return float(betaincinv(lit, tried - lit + 1, 1.0 - confidence))


def largest_share(lit: int, tried: int, confidence: float = 0.95) -> float:
    """Largest share that may light, from k of n: the exact one-sided upper bound.

    Examples
    --------
    >>> round(largest_share(0, 2995), 6)
    0.001
    """
    return 1.0 - shown_reliability(tried - lit, tried, confidence)
