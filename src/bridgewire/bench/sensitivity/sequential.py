"""The next level to try, so that each shot tells as much as it can.

Three stages (B. T. Neyer, Technometrics 36 (1994) 61-70, described in our own words): bracket the
middle; make lit and unlit levels overlap, so that a curve can be computed at all; then try the
level that makes the determinant of the Fisher information largest (D-optimal). Middle and spread of
the fit are kept within the levels tried, and within their range.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from bridgewire.bench.sensitivity.fit import Fit, fit
from bridgewire.bench.sensitivity.links import PROBIT, Array, Link
from bridgewire.bench.sensitivity.overlap import Pattern, overlap
from bridgewire.bench.sensitivity.trials import from_scale, from_shots, to_scale

Flags: TypeAlias = NDArray[np.bool_]

SHRINK = 0.8
"""Factor on the guess of the spread after each shot without overlap (Neyer; from memory)."""
_REACH = 6.0
"""Search for the best level within so many spreads of the middle."""
_GRID = 241


@frozen
class Guess:
    """What is thought before the first shot, on the scale."""

    low: float
    high: float
    """The middle of the curve is thought to lie between them."""
    spread: float
    """Guess of sigma, above 0."""


@frozen
class NextLevel:
    """A level to try, and why."""

    level: float
    """In the unit of the trials."""
    x: float
    """On the scale."""
    stage: str
    """``bracket``, ``overlap`` or ``refine``."""
    why: str
    mu: float
    sigma: float
    """What the choice rests on, on the scale."""


def guess_from_levels(
    low: float, high: float, spread: float | None = None, scale: str = "linear"
) -> Guess:
    """Put a guess on the scale.

    Parameters
    ----------
    low, high : float
        Levels between which half of the igniters are thought to light.
    spread : float, optional
        Guess of the spread in the unit of the level, at the middle of the guess; a sixth of the
        range where absent.
    scale : str

    Raises
    ------
    ValueError
        If high is not above low, the spread not above 0, or a level does not fit the scale.

    Examples
    --------
    >>> guess_from_levels(1.0, 4.0)
    Guess(low=1.0, high=4.0, spread=0.5)
    """
    if not high > low:
        raise ValueError("the high end of the guess must be above the low end")
    a, b = (float(v) for v in to_scale([low, high], scale))
    if spread is None:
        return Guess(a, b, (b - a) / 6.0)
    if not spread > 0.0:
        raise ValueError("the guess of the spread must be above 0")
    middle = from_scale(0.5 * (a + b), scale)
    c, d = (float(v) for v in to_scale([middle, middle + spread], scale))
    return Guess(a, b, d - c)


def next_level(
    history: Sequence[tuple[float, bool]],
    guess: Guess,
    scale: str = "linear",
    link: Link = PROBIT,
) -> NextLevel:
    """Choose the level of the next shot.

    Parameters
    ----------
    history : sequence of (level, lit)
        Shots so far, in the order they were made; levels in the unit of the trials, as they were
        really set.
    guess : Guess
        On the scale.
    scale : str
    link : Link
        Curve whose parameters are to be known.

    Returns
    -------
    NextLevel

    Examples
    --------
    >>> g = guess_from_levels(1.0, 3.0, 0.2)
    >>> next_level([], g).level
    2.0
    >>> next_level([(2.0, True)], g).level
    1.5
    >>> next_level([(2.0, True), (1.5, False)], g).level
    1.75
    """
    if not history:
        middle = 0.5 * (guess.low + guess.high)
        return _made(middle, scale, "bracket", "the middle of the guess", middle, guess.spread)
    levels = overlap(from_shots([v for v, _ in history], [y for _, y in history]))
    x = to_scale([v for v, _ in history], scale)
    lit = np.array([y for _, y in history], dtype=np.bool_)
    if levels.pattern in (Pattern.ALL_LIT, Pattern.NONE_LIT):
        return _reach_out(x, bool(lit[0]), guess, scale)
    if levels.pattern is Pattern.OVERLAP:
        return _refine(history, x, lit, guess, scale, link)
    low, high = float(x[~lit].max()), float(x[lit].min())
    mu = 0.5 * (low + high)
    if levels.pattern is Pattern.SEPARATED and high - low > guess.spread:
        why = "half-way between the highest that did not light and the lowest that did"
        return _made(mu, scale, "bracket", why, mu, guess.spread)
    sigma = guess.spread * SHRINK ** _tries_since_bracketed(x, lit, guess.spread)
    why = (
        "lit and unlit levels do not overlap yet; this level tells most if the spread is "
        "narrower than guessed"
    )
    return _made(d_optimal(x, mu, sigma, link), scale, "overlap", why, mu, sigma)


def _made(x: float, scale: str, stage: str, why: str, mu: float, sigma: float) -> NextLevel:
    return NextLevel(from_scale(x, scale), x, stage, why, mu, sigma)


def _reach_out(x: Array, all_lit: bool, guess: Guess, scale: str) -> NextLevel:
    low, high = float(x.min()), float(x.max())
    if all_lit:
        place = min(0.5 * (guess.low + low), low - 2.0 * guess.spread, 2.0 * low - high)
        if scale == "linear" and guess.low > 0.0:
            place = max(place, 0.5 * low)  # a level thought to be above 0 stays above 0
        why = "all shots so far lit: go lower, further each time"
    else:
        place = max(0.5 * (guess.high + high), high + 2.0 * guess.spread, 2.0 * high - low)
        why = "no shot so far lit: go higher, further each time"
    return _made(place, scale, "bracket", why, place, guess.spread)


def _tries_since_bracketed(x: Array, lit: Flags, spread: float) -> int:
    """Shots made since the gap between unlit and lit levels first was within the spread."""
    for n in range(2, len(x) + 1):
        yes, no = x[:n][lit[:n]], x[:n][~lit[:n]]
        if yes.size and no.size and float(yes.min() - no.max()) <= spread:
            return len(x) - n
    return 0


def _refine(
    history: Sequence[tuple[float, bool]],
    x: Array,
    lit: Flags,
    guess: Guess,
    scale: str,
    link: Link,
) -> NextLevel:
    found = fit(from_shots([v for v, _ in history], [y for _, y in history]), link, scale)
    low, high = float(x.min()), float(x.max())
    if isinstance(found, Fit):
        mu = min(max(found.mu, low), high)
        sigma = min(found.sigma, high - low)
        why = "the level that adds most to what is known of middle and spread together"
    else:
        mu = 0.5 * (float(x[lit].mean()) + float(x[~lit].mean()))
        sigma = min(max(guess.spread, 0.5 * (high - low)), high - low)
        why = (
            "the results so far do not show that the level matters; the level that adds most if "
            "the spread is as wide as the levels tried"
        )
    return _made(d_optimal(x, mu, sigma, link), scale, "refine", why, mu, sigma)


def information(x: Array, mu: float, sigma: float, link: Link = PROBIT) -> Array:
    """Fisher information of ``(b0, b1)`` of ``(x - mu) / sigma``, summed over shots at x."""
    z = (np.asarray(x, dtype=np.float64) - mu) / sigma
    s = link.slopes(z)
    weight = s.lit * s.unlit
    cross = float((weight * z).sum())
    return np.array([[float(weight.sum()), cross], [cross, float((weight * z * z).sum())]])


def d_optimal(x: Array, mu: float, sigma: float, link: Link = PROBIT) -> float:
    """Level on the scale that makes the determinant of the information largest with one more shot.

    Parameters
    ----------
    x : array
        Levels of the shots so far, on the scale.
    mu, sigma : float
        Curve at which the information is taken.
    link : Link

    Examples
    --------
    Many shots at the middle: the next belongs to one side.

    >>> round(abs(d_optimal(np.zeros(20), 0.0, 1.0)), 2)
    1.58
    """
    have = information(x, mu, sigma, link)

    def gain(z: Array) -> Array:
        s = link.slopes(z)
        w = s.lit * s.unlit
        return np.asarray((have[0, 0] + w) * (have[1, 1] + w * z * z) - (have[0, 1] + w * z) ** 2)

    z = np.linspace(-_REACH, _REACH, _GRID)
    step = float(z[1] - z[0])
    best = float(z[int(np.argmax(gain(z)))])
    for _ in range(4):
        near = np.linspace(best - step, best + step, 41)
        best = float(near[int(np.argmax(gain(near)))])
        step /= 20.0
    return mu + sigma * best
