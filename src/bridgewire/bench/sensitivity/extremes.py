"""All-fire and no-fire levels from a fitted curve, with what stands behind them."""

from __future__ import annotations

import math

from attrs import frozen

from bridgewire.bench.sensitivity.fit import Fit, fit
from bridgewire.bench.sensitivity.links import LINKS
from bridgewire.bench.sensitivity.profile import profile_interval
from bridgewire.bench.sensitivity.trials import from_scale

RELIABILITY = 0.999
CONFIDENCE = 0.95
DEFINITION = (
    "all-fire: lights with a reliability of at least 0.999 at 95 % confidence; no-fire: does not "
    "light with a reliability of at least 0.999 at 95 % confidence (14 CFR part 417, appendix D, "
    "D417.41)"
)


@frozen
class Extreme:
    """A level far out on the curve, in the unit of the trials."""

    p: float
    """Share that lights."""
    estimate: float
    """By the curve; not a bound."""
    bound: float | None
    """One-sided profile-likelihood bound; None where the trials give none."""
    beyond: float
    """How many sigma (on the scale) the estimate lies outside the levels tested; 0 inside."""


def all_fire(
    fitted: Fit, reliability: float = RELIABILITY, confidence: float = CONFIDENCE
) -> Extreme:
    """Level at which a share `reliability` lights, with its upper bound.

    Parameters
    ----------
    fitted : Fit
    reliability, confidence : float
        The published definition has 0.999 and 0.95.

    Returns
    -------
    Extreme

    Notes
    -----
    The bound rests on the shape of the curve beyond the levels tested, which no trial of usual size
    can check. Its confidence is that of large samples.

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.fit import fit
    >>> from bridgewire.bench.sensitivity.links import PROBIT
    >>> from bridgewire.bench.sensitivity.trials import from_groups
    >>> found = fit(from_groups([1, 2, 3], [20, 20, 20], [3, 10, 17]), PROBIT)
    >>> all_fire(found).estimate < all_fire(found).bound
    True
    """
    high = profile_interval(fitted, reliability, confidence, sides=1).high
    return _extreme(fitted, reliability, high)


def no_fire(
    fitted: Fit, reliability: float = RELIABILITY, confidence: float = CONFIDENCE
) -> Extreme:
    """Level at which a share ``1 - reliability`` lights, with its lower bound.

    Parameters and result are as for `all_fire`. On a linear scale the bound can be below 0, which
    for a current says that the trials show no no-fire level at all.
    """
    low = profile_interval(fitted, 1.0 - reliability, confidence, sides=1).low
    return _extreme(fitted, 1.0 - reliability, low)


def _extreme(fitted: Fit, p: float, bound: float) -> Extreme:
    place = fitted.quantile(p)
    x = fitted.x
    beyond = max(place - float(x.max()), float(x.min()) - place, 0.0) / fitted.sigma
    level = from_scale(bound, fitted.scale) if math.isfinite(bound) else None
    if level is not None and not math.isfinite(level):
        level = None
    return Extreme(p, fitted.level(p), level, beyond)


@frozen
class OtherCurve:
    """All-fire and no-fire of the same trials under another curve; None where there is no fit."""

    link: str
    scale: str
    all_fire: Extreme | None
    no_fire: Extreme | None


def other_curves(fitted: Fit, confidence: float = CONFIDENCE) -> tuple[OtherCurve, ...]:
    """All links on the linear and the logarithmic scale, for the same trials.

    How far they differ tells how much of the all-fire level is the curve's doing, not the trials'.
    """
    log = "log10" if fitted.scale == "linear" else fitted.scale
    scales = ["linear"] + ([log] if fitted.trials.range[0] > 0.0 else [])
    out: list[OtherCurve] = []
    for scale in scales:
        for link in LINKS.values():
            found = fit(fitted.trials, link, scale)
            if isinstance(found, Fit):
                high, low = (
                    all_fire(found, confidence=confidence),
                    no_fire(found, confidence=confidence),
                )
                out.append(OtherCurve(link.name, scale, high, low))
            else:
                out.append(OtherCurve(link.name, scale, None, None))
    return tuple(out)
