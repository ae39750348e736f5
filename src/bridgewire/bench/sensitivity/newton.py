"""The maximum of the likelihood of a response curve, by Newton steps with halving."""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.bench.sensitivity.links import Array, Link

_MOST_STEPS = 200
_SMALL = 1e-11
"""Relative size of the last Newton step."""
_NO_GAIN = 1e-20
"""A step that would raise the log-likelihood by less changes no coefficient by more than 1e-10 of
its standard error."""
_STILL = 1e-6
"""Relative size that such a step may have; where there is no maximum, steps stay larger."""
_LITTLE_GAIN = 1e-14
"""The same where rounding lets no step do better: 1e-7 of a standard error."""


@frozen(eq=False)
class Maximum:
    """Where the likelihood is largest."""

    coefficients: Array
    log_likelihood: float
    """Without the binomial coefficients, as for single shots."""
    expected: Array
    """Expected (Fisher) information of the coefficients."""
    observed: Array
    """Observed information: minus the second derivatives at the maximum."""


def log_likelihood(eta: Array, tried: Array, lit: Array, link: Link) -> float:
    """Sum of ``k ln F + (n - k) ln(1 - F)``, without the binomial coefficients."""
    yes = np.where(lit > 0, lit * link.log_lit(eta), 0.0)
    no = np.where(tried > lit, (tried - lit) * link.log_unlit(eta), 0.0)
    return float((yes + no).sum())


def maximise(
    design: Array, tried: Array, lit: Array, link: Link, offset: Array | float = 0.0
) -> Maximum:
    """Find the coefficients with the largest likelihood.

    Parameters
    ----------
    design : array, rows by coefficients
        ``eta = offset + design @ coefficients``.
    tried, lit : array
        Of each row.
    link : Link
    offset : array or float

    Returns
    -------
    Maximum

    Raises
    ------
    ArithmeticError
        If there is no finite maximum, or the steps do not settle. `overlap` tells beforehand
        whether there is one.

    Notes
    -----
    Converged when a Newton step would change every coefficient by less than 1e-11 of its size in
    a scaled design, or by less than 1e-10 of its standard error. Printed results of programs that
    stop earlier can differ in the sixth digit.

    Examples
    --------
    One curve, 3 of 10 and 7 of 10 at levels -1 and 1:

    >>> from bridgewire.bench.sensitivity.links import LOGIT
    >>> X = np.array([[1.0, -1.0], [1.0, 1.0]])
    >>> m = maximise(X, np.array([10.0, 10.0]), np.array([3.0, 7.0]), LOGIT)
    >>> [round(float(b), 6) + 0.0 for b in m.coefficients]
    [0.0, 0.847298]
    """
    size = np.sqrt((design * design).mean(axis=0))
    scaled = design / size
    b = np.zeros(design.shape[1])
    best = log_likelihood(offset + scaled @ b, tried, lit, link)
    for _ in range(_MOST_STEPS):
        score, observed, _ = _derivatives(scaled, offset + scaled @ b, tried, lit, link)
        try:
            step = np.linalg.solve(observed, score)
        except np.linalg.LinAlgError:
            raise ArithmeticError("the likelihood has no curvature: no finite maximum") from None
        gain = float(score @ step)
        moved = float(np.max(np.abs(step) / (1.0 + np.abs(b))))
        settled = moved <= _SMALL or (gain < _NO_GAIN and moved <= _STILL)
        factor = 1.0
        while True:
            trial = b + factor * step
            value = log_likelihood(offset + scaled @ trial, tried, lit, link)
            if value >= best - 1e-13 * (1.0 + abs(best)) or factor < 1e-10:
                break
            factor *= 0.5
        b, best = trial, value
        if settled:
            break
    else:
        if not (gain < _LITTLE_GAIN and moved <= _STILL):
            raise ArithmeticError("the maximum of the likelihood was not reached")
    _, observed, expected = _derivatives(scaled, offset + scaled @ b, tried, lit, link)
    back = np.outer(size, size)
    return Maximum(b / size, best, expected * back, observed * back)


def _derivatives(
    design: Array, eta: Array, tried: Array, lit: Array, link: Link
) -> tuple[Array, Array, Array]:
    s = link.slopes(eta)
    unlit = tried - lit
    score = design.T @ (lit * s.lit - unlit * s.unlit)
    observed = (design.T * (lit * s.lit_bend + unlit * s.unlit_bend)) @ design
    expected = (design.T * (tried * s.lit * s.unlit)) @ design
    return score, observed, expected
