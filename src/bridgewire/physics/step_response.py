"""Response of a bridge within one step, for a heating u that is quadratic in time.

``dx/dt = (u - x) / tau`` over a step of length ``z = dt / tau``; s runs from 0 to 1 over the step.
"""

from __future__ import annotations

import numpy as np

from bridgewire.physics.network import Floats


class Weights:
    """Integrals of the exponential kernel against 1, s and s² over a step, s from 0 to 1.

    ``m0``, ``m1``, ``m2`` are z ∫ e^(-z(1-s)) sⁿ ds for n = 0, 1, 2.

    Parameters
    ----------
    z : array
        Length of the step in time constants, not negative. Below 0.02 by series, so that no digits
        are lost.

    Examples
    --------
    >>> w = Weights(np.array([0.0, 1e-3, 1.0, 50.0]))
    >>> w.m0.round(6).tolist(), w.m1.round(6).tolist()
    ([0.0, 0.001, 0.632121, 1.0], [0.0, 0.0005, 0.367879, 0.98])
    """

    def __init__(self, z: Floats) -> None:
        small = z < 0.02
        safe = np.where(small, 1.0, z)
        self.m0 = -np.expm1(-z)
        self.m1 = np.where(
            small, z * (1 / 2 - z * (1 / 6 - z * (1 / 24 - z / 120))), 1.0 - self.m0 / safe
        )
        self.m2 = np.where(
            small, z * (1 / 3 - z * (1 / 12 - z * (1 / 60 - z / 360))), 1.0 - 2.0 * self.m1 / safe
        )


def response(
    x0: Floats, u0: Floats, um: Floats, second: Floats, z: Floats, s: Floats
) -> tuple[Floats, Floats]:
    """Temperature rise and heating at a fraction of a step; the heating is quadratic in time.

    x = x₀ e^(-zs) + z ∫ e^(-z(s-r)) u(r) dr from 0 to s.

    Parameters
    ----------
    x0 : array
        x at the start of the step.
    u0, um : array
        u at its start and middle.
    second : array
        Second difference of u: its end less twice its middle plus its start.
    z : array
        Length of the step in time constants.
    s : array
        Fraction of the step, 0 to 1.

    Returns
    -------
    x, u : array
        At the fraction; exact for this u.

    Examples
    --------
    A constant u of 2 from cold over one time constant, 2 (1 - 1/e) at its end:

    >>> x, u = response(*(np.array([v]) for v in (0.0, 2.0, 2.0, 0.0, 1.0, 1.0)))
    >>> x.round(6).tolist(), u.tolist()
    ([1.264241], [2.0])
    """
    w = Weights(z * s)
    slope, curve = (2.0 * (um - u0) - second) * s, 2.0 * second * s * s
    x = x0 * (1.0 - w.m0) + u0 * w.m0 + slope * w.m1 + curve * w.m2
    return x, u0 + slope + curve


def crossing(
    level: Floats,
    x0: Floats,
    u0: Floats,
    um: Floats,
    second: Floats,
    z: Floats,
    upper: Floats,
) -> Floats:
    """Fraction of a step at which x rises to a level.

    Newton's method, with bisection where it leaves the bracket.

    Parameters
    ----------
    level : array
        Above x at the start, and not above x at `upper`.
    x0, u0, um, second, z : array
        The step, as in `response`.
    upper : array
        Fraction at which x is at or above the level, such as its summit.

    Returns
    -------
    array
        Fraction, 0 to `upper`, to 1e-13 of the step or 1e-14 of the level.

    Examples
    --------
    From cold with u = 2, x is 1 after ln 2 time constants:

    >>> s = crossing(*(np.array([v]) for v in (1.0, 0.0, 2.0, 2.0, 0.0, 1.0, 1.0)))
    >>> float(s[0].round(9))
    0.693147181
    """
    lo, hi = np.zeros_like(x0), upper.copy()
    s = hi
    for _ in range(60):
        x, u = response(x0, u0, um, second, z, s)
        f = x - level
        if np.all((np.abs(f) < 1e-14 * level) | (hi - lo < 1e-13)):
            break
        below = f < 0
        lo, hi = np.where(below, s, lo), np.where(below, hi, s)
        with np.errstate(divide="ignore", invalid="ignore"):
            # dx/ds = z (u - x).
            s = s - f / (z * (u - x))
        s = np.where((s > lo) & (s < hi), s, 0.5 * (lo + hi))
    return s


def summit(
    x0: Floats, u0: Floats, um: Floats, second: Floats, z: Floats, x_end: Floats, u_end: Floats
) -> tuple[Floats, Floats]:
    """Fraction of a step at which x is highest, and that x.

    Where x rises at first and falls at last, its summit is where u = x; else it is taken at the
    end.

    Parameters
    ----------
    x0, u0, um, second, z : array
        The step, as in `response`.
    x_end, u_end : array
        x and u at the end of the step.

    Returns
    -------
    s, x : array
        By four steps of false position: the fraction is rough, x is good to far below any tolerance
        of a step.

    Examples
    --------
    u falls from 2 to 0 in a straight line over one time constant:

    >>> one = np.ones(1)
    >>> x_end, u_end = response(0.5 * one, 2 * one, one, 0 * one, one, one)
    >>> s, x = summit(0.5 * one, 2 * one, one, 0 * one, one, x_end, u_end)
    >>> float(s.round(2)[0]), float(x.round(4)[0])
    (0.56, 0.8808)
    """
    top_s, top_x = np.ones_like(x0), x_end
    inside = np.flatnonzero((u0 > x0) & (u_end < x_end))
    if not inside.size:
        return top_s, top_x
    args = x0[inside], u0[inside], um[inside], second[inside], z[inside]
    lo, hi = np.zeros(inside.size), np.ones(inside.size)
    f_lo, f_hi = u0[inside] - x0[inside], u_end[inside] - x_end[inside]
    # The summit is flat: a few steps of false position give x to far below any tolerance.
    for _ in range(4):
        s = lo - f_lo * (hi - lo) / (f_hi - f_lo)
        x, u = response(*args, s)
        rising = u > x
        lo, f_lo = np.where(rising, s, lo), np.where(rising, u - x, f_lo)
        hi, f_hi = np.where(rising, hi, s), np.where(rising, f_hi, np.minimum(u - x, -1e-300))
    top_s[inside] = s
    top_x = x_end.copy()
    top_x[inside] = np.maximum(x, x_end[inside])
    return top_s, top_x
