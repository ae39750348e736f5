"""How many spares to take so that enough are good."""

from __future__ import annotations

import math

MOST = 1_000_000


def spares_needed(needed: int, dud_rate: float, confidence: float) -> int:
    """Least number of spares with which at least `needed` of all are good.

    Every piece is a dud with probability `dud_rate`, on its own: no bad batch, no damp box. The
    number of duds met before the `needed`-th good piece has the negative binomial distribution;
    its terms are summed until they reach the confidence.

    Parameters
    ----------
    needed : int
        At least 0.
    dud_rate : float
        Share of duds, from 0 up to but not including 1.
    confidence : float
        Probability wanted, from 0 up to but not including 1.

    Returns
    -------
    int

    Raises
    ------
    ValueError
        For arguments out of range, or where more than a million spares would be needed.

    References
    ----------
    W. Feller, An Introduction to Probability Theory and Its Applications, vol. I, VI.8 (from
    memory).

    Examples
    --------
    >>> spares_needed(100, 0.02, 0.99), spares_needed(100, 0.0, 0.99)
    (6, 0)
    """
    if needed < 0:
        raise ValueError("the number needed is at least 0")
    if not 0.0 <= dud_rate < 1.0:
        raise ValueError("the share of duds is at least 0 and below 1")
    if not 0.0 <= confidence < 1.0:
        raise ValueError("the confidence is at least 0 and below 1")
    if needed == 0 or dud_rate == 0.0:
        return 0
    # In logarithms, as the first terms can be below the smallest float.
    term = needed * math.log1p(-dud_rate)
    step = math.log(dud_rate)
    reached: list[float] = [math.exp(term)]
    total = reached[0]
    spares = 0
    while total < confidence:
        spares += 1
        if spares > MOST:
            raise ValueError("more than a million spares would be needed")
        term += step + math.log((needed + spares - 1) / spares)
        reached.append(math.exp(term))
        total = _sum(reached, total, confidence)
    return spares


def _sum(terms: list[float], before: float, confidence: float) -> float:
    """The running total; summed exactly where it is near the confidence."""
    total = before + terms[-1]
    return math.fsum(terms) if abs(total - confidence) < 1e-9 else total


def enough_probability(needed: int, spares: int, dud_rate: float) -> float:
    """Probability that at least `needed` of ``needed + spares`` pieces are good.

    Examples
    --------
    >>> round(enough_probability(2, 1, 0.1), 4)
    0.972
    """
    if needed == 0 or dud_rate == 0.0:
        return 1.0
    term = needed * math.log1p(-dud_rate)
    terms = [math.exp(term)]
    for k in range(1, spares + 1):
        term += math.log(dud_rate) + math.log((needed + k - 1) / k)
        terms.append(math.exp(term))
    return min(1.0, math.fsum(terms))
