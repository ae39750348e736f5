"""Response curves: how the probability to light rises with the level.

Each link is ``p = F(eta)`` with ``eta = b0 + b1 x``, where x is the level on its scale. All three
have a log-concave likelihood, so a maximum, where there is one, is the only one.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.special import expit, log_expit, log_ndtr, ndtr, ndtri

Array: TypeAlias = NDArray[np.float64]

_HALF_LOG_2PI = 0.5 * float(np.log(2.0 * np.pi))
_LARGEST = 700.0
"""Largest argument of exp."""


@frozen
class Slopes:
    """Derivatives of the log-likelihood of one shot with respect to eta."""

    lit: Array
    """d ln F / d eta, above 0."""
    unlit: Array
    """- d ln(1 - F) / d eta, above 0."""
    lit_bend: Array
    """- d² ln F / d eta², at least 0."""
    unlit_bend: Array
    """- d² ln(1 - F) / d eta², at least 0."""


@frozen
class Link:
    """One response curve."""

    name: str
    probability: Callable[[Array], Array]
    """F(eta)."""
    log_lit: Callable[[Array], Array]
    """ln F(eta)."""
    log_unlit: Callable[[Array], Array]
    """ln(1 - F(eta))."""
    slopes: Callable[[Array], Slopes]
    quantile: Callable[[float], float]
    """eta at which F is p."""
    meaning: str
    """What mu and sigma are, for a person."""


def _probit_slopes(eta: Array) -> Slopes:
    log_density = -0.5 * eta * eta - _HALF_LOG_2PI
    lit = np.exp(log_density - log_ndtr(eta))
    unlit = np.exp(log_density - log_ndtr(-eta))
    return Slopes(
        lit,
        unlit,
        np.maximum(lit * (eta + lit), 0.0),
        np.maximum(unlit * (unlit - eta), 0.0),
    )


def _logit_slopes(eta: Array) -> Slopes:
    p, q = expit(eta), expit(-eta)
    return Slopes(q, p, p * q, p * q)


def _cloglog_slopes(eta: Array) -> Slopes:
    u = np.exp(np.minimum(eta, _LARGEST))
    with np.errstate(over="ignore"):
        grown = np.expm1(np.minimum(u, _LARGEST))
    lit = np.where(u < _LARGEST, u / np.maximum(grown, 1e-300), 0.0)
    lit = np.where(u < 1e-290, 1.0, lit)
    return Slopes(lit, u, np.maximum(lit * (u + lit - 1.0), 0.0), u)


def _cloglog_log_lit(eta: Array) -> Array:
    u = np.exp(np.minimum(eta, _LARGEST))
    small = u < 1e-290
    value = np.log(-np.expm1(-np.where(small, 1.0, u)))
    return np.asarray(np.where(small, eta, value), dtype=np.float64)


def _cloglog_quantile(p: float) -> float:
    return float(np.log(-np.log1p(-p)))


PROBIT = Link(
    "probit",
    lambda eta: np.asarray(ndtr(eta)),
    lambda eta: np.asarray(log_ndtr(eta)),
    lambda eta: np.asarray(log_ndtr(-eta)),
    _probit_slopes,
    lambda p: float(ndtri(p)),
    "mu is the level at which half of them light; sigma is the standard deviation of a normal "
    "spread of the igniters' own levels",
)
LOGIT = Link(
    "logit",
    lambda eta: np.asarray(expit(eta)),
    lambda eta: np.asarray(log_expit(eta)),
    lambda eta: np.asarray(log_expit(-eta)),
    _logit_slopes,
    lambda p: float(np.log(p) - np.log1p(-p)),
    "mu is the level at which half of them light; sigma is the scale of a logistic spread (its "
    "standard deviation is 1.814 times sigma)",
)
CLOGLOG = Link(
    "cloglog",
    lambda eta: np.asarray(-np.expm1(-np.exp(np.minimum(eta, _LARGEST)))),
    _cloglog_log_lit,
    lambda eta: np.asarray(-np.exp(np.minimum(eta, _LARGEST))),
    _cloglog_slopes,
    _cloglog_quantile,
    "mu is the level at which 63.2 % (not half) of them light; sigma is the scale of a "
    "smallest-extreme-value spread",
)
LINKS = {link.name: link for link in (PROBIT, LOGIT, CLOGLOG)}
"""Every link by its name."""
