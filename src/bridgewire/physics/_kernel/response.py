"""`bridgewire.physics.step_response` for one bridge."""

from __future__ import annotations

import math

from bridgewire.physics._kernel.compiling import inner


@inner
def weights(z: float) -> tuple[float, float, float]:
    """See `bridgewire.physics.step_response.Weights`."""
    if z < 0.02:
        m0 = z * (1.0 - z * (1 / 2 - z * (1 / 6 - z * (1 / 24 - z * (1 / 120 - z / 720)))))
        m1 = z * (1 / 2 - z * (1 / 6 - z * (1 / 24 - z / 120)))
        m2 = z * (1 / 3 - z * (1 / 12 - z * (1 / 60 - z / 360)))
        return m0, m1, m2
    m0 = 1.0 - math.exp(-z)
    m1 = 1.0 - m0 / z
    return m0, m1, 1.0 - 2.0 * m1 / z


@inner
def response(
    x0: float, u0: float, um: float, second: float, z: float, s: float
) -> tuple[float, float]:
    """See `bridgewire.physics.step_response.response`."""
    m0, m1, m2 = weights(z * s)
    slope, curve = (2.0 * (um - u0) - second) * s, 2.0 * second * s * s
    return x0 * (1.0 - m0) + u0 * m0 + slope * m1 + curve * m2, u0 + slope + curve


@inner
def crossing(
    level: float, x0: float, u0: float, um: float, second: float, z: float, upper: float
) -> float:
    """See `bridgewire.physics.step_response.crossing`."""
    lo, hi, s = 0.0, upper, upper
    for _ in range(60):
        x, u = response(x0, u0, um, second, z, s)
        f = x - level
        if abs(f) < 1e-14 * level or hi - lo < 1e-13:
            break
        if f < 0.0:
            lo = s
        else:
            hi = s
        s = s - f / (z * (u - x))
        if not lo < s < hi:
            s = 0.5 * (lo + hi)
    return s


@inner
def summit(
    x0: float, u0: float, um: float, second: float, z: float, x_end: float, u_end: float
) -> tuple[float, float]:
    """See `bridgewire.physics.step_response.summit`; for x that rises first and falls last."""
    lo, hi, f_lo, f_hi = 0.0, 1.0, u0 - x0, u_end - x_end
    s, x = 1.0, x_end
    for _ in range(4):
        s = lo - f_lo * (hi - lo) / (f_hi - f_lo)
        x, u = response(x0, u0, um, second, z, s)
        if u > x:
            lo, f_lo = s, u - x
        else:
            hi, f_hi = s, min(u - x, -1e-300)
    return s, max(x, x_end)
