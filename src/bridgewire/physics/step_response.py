"""Response of a bridge within one step, for a heating u that is quadratic in time.

``dx/dt = (u - x) / tau`` over a step of length ``z = dt / tau``; s runs from 0 to 1 over the step.
"""

from __future__ import annotations

import numpy as np

from bridgewire.physics.network import Floats


class Weights:
    """Integrals of the exponential kernel against 1, s and s^2 over a step, s from 0 to 1."""

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
    """x and u at fraction s of a step of length z = dt/tau, u quadratic over the step."""
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
    """Fraction of the step, up to `upper`, at which x rises to `level`.

    Newton's method, with bisection where it leaves the bracket.
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
    """Fraction of the step at which x is highest, and that x.

    Where x rises at first and falls at last, its summit is where u = x.
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
