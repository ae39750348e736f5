"""Bounds of probabilities as the rules that judge odds read them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from bridgewire.diagnostics import Severity

if TYPE_CHECKING:
    from bridgewire.uncertainty.intervals import Estimate
    from bridgewire.uncertainty.odds_figures import IgniterOdds
    from bridgewire.uncertainty.sensitivity import CauseRanking
    from bridgewire.uncertainty.study import OddsStudy


def ranking_of(study: OddsStudy, igniter: IgniterOdds) -> CauseRanking | None:
    """The closer look at an igniter under its cue, if there was one."""
    place = (igniter.cue, igniter.igniter)
    return next((r for r in study.closer if (r.cue, r.igniter) == place), None)


def failure_bounds(study: OddsStudy, igniter: IgniterOdds) -> Estimate:
    """Probability that an igniter fails, with its interval.

    That of the closer look where nothing speaks against it; else that of the draws alone.
    """
    from bridgewire.uncertainty.intervals import Estimate

    ranking = ranking_of(study, igniter)
    if ranking is not None and not ranking.failure.doubts:
        return study.failure_of(igniter)
    lights = igniter.lights
    return Estimate(1.0 - lights.value, 1.0 - lights.high, 1.0 - lights.low)


def severity_of(failure: Estimate, required: float) -> Severity | None:
    """What a probability of failure means for a requirement; None if it is met.

    Error where even the lower end of the interval is too much, warning where only the upper is.

    >>> from bridgewire.uncertainty.intervals import Estimate
    >>> severity_of(Estimate(0.01, 0.008, 0.012), 0.999).word
    'error'
    >>> severity_of(Estimate(0.001, 0.0005, 0.002), 0.999).word
    'warning'
    >>> severity_of(Estimate(0.0, 0.0, 0.0004), 0.999)
    """
    allowed = 1.0 - required
    if failure.high <= allowed:
        return None
    return Severity.ERROR if failure.low > allowed else Severity.WARNING


def undecided(failures: int, failure: Estimate, required: float) -> bool:
    """Whether nothing failed, but too few draws were made to show the requirement."""
    return failures == 0 and failure.high > 1.0 - required


def draws_needed(required: float) -> int | None:
    """Draws without a failure that show a requirement at 95 % (two-sided); None if none do.

    >>> draws_needed(0.999), draws_needed(1.0)
    (3688, None)
    """
    if required >= 1.0:
        return None
    return 1 if required <= 0.0 else math.ceil(math.log(0.025) / math.log(required))


def more_draws(required: float) -> str:
    """What to do where too few draws were made."""
    needed = draws_needed(required)
    if needed is None:
        return "no number of draws shows a reliability of 1; require less than 1"
    return f"draw more: {needed} draws without a failure show it"


def percent(value: float) -> str:
    """Write a probability; three digits of whichever is smaller, it or what it falls short of 1 by.

    >>> percent(0.0123), percent(0.661329), percent(0.99987), percent(0.00002), percent(1.0)
    ('1.23 %', '66.1 %', '99.987 %', '0.002 %', '100 %')
    """
    small = 100.0 * min(value, 1.0 - value)
    if small <= 1e-10:
        return f"{100.0 * value:.0f} %"
    decimals = min(max(2 - math.floor(math.log10(small)), 0), 12)
    text = f"{100.0 * value:.{decimals}f}"
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} %"
