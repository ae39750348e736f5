"""The standard normal distribution: its quantile for arrays, its distribution function."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from bridgewire.physics.network import Floats

_CENTRE: Final = (
    (
        2.5090809287301226727e3,
        3.3430575583588128105e4,
        6.7265770927008700853e4,
        4.5921953931549871457e4,
        1.3731693765509461125e4,
        1.9715909503065514427e3,
        1.3314166789178437745e2,
        3.3871328727963666080,
    ),
    (
        5.2264952788528545610e3,
        2.8729085735721942674e4,
        3.9307895800092710610e4,
        2.1213794301586595867e4,
        5.3941960214247511077e3,
        6.8718700749205790830e2,
        4.2313330701600911252e1,
        1.0,
    ),
)
_SIDE: Final = (
    (
        7.74545014278341407640e-4,
        2.27238449892691845833e-2,
        2.41780725177450611770e-1,
        1.27045825245236838258,
        3.64784832476320460504,
        5.76949722146069140550,
        4.63033784615654529590,
        1.42343711074968357734,
    ),
    (
        1.05075007164441684324e-9,
        5.47593808499534494600e-4,
        1.51986665636164571966e-2,
        1.48103976427480074590e-1,
        6.89767334985100004550e-1,
        1.67638483018380384940,
        2.05319162663775882187,
        1.0,
    ),
)
_TAIL: Final = (
    (
        2.01033439929228813265e-7,
        2.71155556874348757815e-5,
        1.24266094738807843860e-3,
        2.65321895265761230930e-2,
        2.96560571828504891230e-1,
        1.78482653991729133580,
        5.46378491116411436990,
        6.65790464350110377720,
    ),
    (
        2.04426310338993978564e-15,
        1.42151175831644588870e-7,
        1.84631831751005468180e-5,
        7.86869131145613259100e-4,
        1.48753612908506148525e-2,
        1.36929880922735805310e-1,
        5.99832206555887937690e-1,
        1.0,
    ),
)


def _ratio(parts: tuple[Sequence[float], Sequence[float]], r: Floats) -> Floats:
    top = np.full_like(r, parts[0][0])
    bottom = np.full_like(r, parts[1][0])
    for a, b in zip(parts[0][1:], parts[1][1:], strict=True):
        top *= r
        top += a
        bottom *= r
        bottom += b
    top /= bottom
    return top


def quantile(p: Floats) -> Floats:
    """Standard normal quantile.

    Parameters
    ----------
    p : array
        Probabilities, above 0 and below 1.

    Returns
    -------
    array
        Dimensionless, within some 1e-15 of the exact value, relative.

    References
    ----------
    M. J. Wichura, Algorithm AS 241, Applied Statistics 37 (1988), 477-484, PPND16.

    Examples
    --------
    >>> quantile(np.array([0.5, 0.975, 0.001])).round(6).tolist()
    [0.0, 1.959964, -3.090232]
    """
    q = p - 0.5
    r = 0.180625 - q * q
    # In the middle r lies between 0 and 0.18; outside it does no harm and is replaced.
    z = _ratio(_CENTRE, np.maximum(r, 0.0)) * q
    outside = np.flatnonzero(r < 0.0)
    if outside.size:
        side = q[outside]
        r = np.sqrt(-np.log(np.where(side < 0.0, p[outside], 1.0 - p[outside])))
        value = _ratio(_SIDE, r - 1.6)
        far = np.flatnonzero(r > 5.0)
        if far.size:
            value[far] = _ratio(_TAIL, r[far] - 5.0)
        z[outside] = np.copysign(value, side)
    return z


def below(z: float) -> float:
    """Probability that a standard normal value is below `z`.

    >>> round(below(-3.0), 8)
    0.0013499
    """
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
