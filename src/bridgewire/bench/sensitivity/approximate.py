"""Levels for a share p with intervals from the covariance: the delta method and Fieller's."""

from __future__ import annotations

import math

from attrs import frozen
from scipy.special import ndtri

from bridgewire.bench.sensitivity.links import Array


@frozen
class Approximate:
    """A level on the scale with its standard error and two intervals."""

    value: float
    se: float
    """Delta method."""
    delta: tuple[float, float]
    """``value ± z se``."""
    fieller: tuple[float, float] | None
    """Levels at which ``b0 + b1 x - eta`` is within z of its own standard error; None where that
    is no interval, because the slope is not surely different from 0."""


def level_from_covariance(
    b0: float,
    b1: float,
    covariance: Array,
    eta: float,
    confidence: float = 0.95,
    *,
    middle: float = 0.0,
) -> Approximate:
    """Level at which ``b0 + b1 x = eta``, with approximate intervals.

    Parameters
    ----------
    b0, b1 : float
        Of the curve; b1 not 0.
    covariance : array, 2 by 2
        Of (b0, b1).
    eta : float
        The link's quantile of p.
    confidence : float
        Two-sided.
    middle : float
        Place that the coefficients are taken from: ``b0 + b1 (x - middle) = eta``.

    Returns
    -------
    Approximate

    References
    ----------
    E. C. Fieller, JRSS B 16 (1954) 175-185 (the interval of a ratio).

    Examples
    --------
    >>> import numpy as np
    >>> a = level_from_covariance(-4.0, 2.0, np.diag([0.04, 0.01]), 0.0)
    >>> a.value, round(a.se, 6)
    (2.0, 0.141421)
    """
    z = float(ndtri(0.5 + 0.5 * confidence))
    v00, v01, v11 = float(covariance[0, 0]), float(covariance[0, 1]), float(covariance[1, 1])
    value = (eta - b0) / b1
    se = math.sqrt(v00 + 2.0 * value * v01 + value * value * v11) / abs(b1)
    # (b0 + b1 x - eta)² = z² (v00 + 2 v01 x + v11 x²)
    a = b1 * b1 - z * z * v11
    b = b1 * (b0 - eta) - z * z * v01
    c = (b0 - eta) ** 2 - z * z * v00
    root = b * b - a * c
    fieller = None
    if a > 0.0 and root >= 0.0:
        half = math.sqrt(root)
        fieller = ((-b - half) / a, (-b + half) / a)
    if fieller is not None:
        fieller = (middle + fieller[0], middle + fieller[1])
    value += middle
    return Approximate(value, se, (value - z * se, value + z * se), fieller)
