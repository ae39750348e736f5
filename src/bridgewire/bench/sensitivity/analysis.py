"""All that one set of trials tells, put together for a report."""

from __future__ import annotations

from attrs import frozen

from bridgewire.bench.sensitivity.approximate import Approximate, level_from_covariance
from bridgewire.bench.sensitivity.counts import shown_reliability
from bridgewire.bench.sensitivity.extremes import (
    Extreme,
    OtherCurve,
    all_fire,
    no_fire,
    other_curves,
)
from bridgewire.bench.sensitivity.fit import Fit, NoFit, fit
from bridgewire.bench.sensitivity.links import Link
from bridgewire.bench.sensitivity.misfit import Misfit, misfit
from bridgewire.bench.sensitivity.profile import Interval, critical, profile_interval
from bridgewire.bench.sensitivity.trials import Trials, from_scale


@frozen(eq=False)
class LevelCount:
    """Counts at one level, and what they show by themselves."""

    level: float
    tried: int
    lit: int
    expected: float | None
    """Number lit by the curve; None without one."""
    shown: float
    """Reliability shown at this level by these shots alone, one-sided."""


@frozen(eq=False)
class Middle:
    """A level in the middle of the curve with its intervals, in the unit of the trials."""

    p: float
    level: float
    profile: tuple[float | None, float | None]
    """Profile-likelihood interval; None where the trials give no bound."""
    approximate: Approximate
    """On the scale."""


@frozen(eq=False)
class Analysis:
    """One curve with its levels, or the reason why there is none; and the plain counts."""

    trials: Trials
    link: Link
    scale: str
    confidence: float
    result: Fit | NoFit
    counts: tuple[LevelCount, ...]
    misfit: Misfit | None
    middle: tuple[Middle, ...]
    all_fire: Extreme | None
    no_fire: Extreme | None
    others: tuple[OtherCurve, ...]
    matters: bool | None
    """Whether the trials show, at the confidence, that the level matters at all."""


SHARES = (0.1, 0.5, 0.9)
"""Shares for which levels are told beside all-fire and no-fire."""


def analyse(
    trials: Trials, link: Link, scale: str = "linear", confidence: float = 0.95
) -> Analysis:
    """Fit a curve to trials and work out what follows.

    Parameters
    ----------
    trials : Trials
    link : Link
    scale : str
    confidence : float
        Of two-sided intervals, and of the one-sided bounds of all-fire and no-fire.

    Returns
    -------
    Analysis

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.links import PROBIT
    >>> from bridgewire.bench.sensitivity.trials import from_groups
    >>> a = analyse(from_groups([1, 2, 3], [20, 20, 20], [3, 10, 17]), PROBIT)
    >>> round(a.middle[1].level, 6), a.matters
    (2.0, True)
    """
    found = fit(trials, link, scale)
    if isinstance(found, NoFit):
        return Analysis(
            trials,
            link,
            scale,
            confidence,
            found,
            _counts(trials, None, confidence),
            None,
            (),
            None,
            None,
            (),
            None,
        )
    gain = 2.0 * (found.log_likelihood - found.null_log_likelihood)
    return Analysis(
        trials,
        link,
        scale,
        confidence,
        found,
        _counts(trials, found, confidence),
        misfit(found),
        tuple(_middle(found, p, confidence) for p in SHARES),
        all_fire(found, confidence=confidence),
        no_fire(found, confidence=confidence),
        other_curves(found, confidence),
        gain > critical(confidence, 2),
    )


def _counts(trials: Trials, found: Fit | None, confidence: float) -> tuple[LevelCount, ...]:
    fitted = None if found is None else found.fitted
    order = sorted(range(trials.level.size), key=lambda n: float(trials.level[n]))
    return tuple(
        LevelCount(
            float(trials.level[n]),
            int(trials.tried[n]),
            int(trials.lit[n]),
            None if fitted is None else float(fitted[n]),
            shown_reliability(int(trials.lit[n]), int(trials.tried[n]), confidence),
        )
        for n in order
    )


def _middle(found: Fit, p: float, confidence: float) -> Middle:
    ends = profile_interval(found, p, confidence)
    near = level_from_covariance(
        float(found.maximum.coefficients[0]),
        found.b1,
        found.centred_covariance,
        found.link.quantile(p),
        confidence,
        middle=found.middle,
    )
    return Middle(p, found.level(p), bounds(ends, found.scale), near)


def bounds(ends: Interval, scale: str) -> tuple[float | None, float | None]:
    """Ends of an interval in the unit of the trials; None for an end that is unbounded.

    >>> bounds(Interval(0.0, float("inf")), "log10")
    (1.0, None)
    """
    low = None if ends.low == float("-inf") else from_scale(ends.low, scale)
    high = from_scale(ends.high, scale)
    return low, None if high == float("inf") else high
