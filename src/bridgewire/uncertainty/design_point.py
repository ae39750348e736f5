"""The most likely way to fail: the point of a limit state nearest to the typical values.

The method of Hasofer, Lind, Rackwitz and Fiessler (R. Rackwitz, B. Fiessler, Computers &
Structures 9, 1978, 489-494) with a step length that lowers the merit function of Y. Zhang and A.
Der Kiureghian (Reliability and Optimization of Structural Systems, 1995); both from memory.
"""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.physics.network import Floats
from bridgewire.uncertainty.limit_state import LimitState

STEP = 0.05
"""Half the distance in z over which slopes are taken."""
ROUNDS = 60
CLOSE = 1e-3
"""How near the limit state to 0, over its slope, and how straight the direction."""


@frozen(eq=False)
class DesignPoint:
    """A design point.

    Attributes
    ----------
    z : array, shape (latents,)
        Where it is, in standard deviations of each latent.
    beta : float
        Distance from the typical values; negative where those fail.
    alpha : array
        Direction cosines towards failure; their squares sum to 1.
    slope : float
        Steepness of the limit state there.
    converged : bool
    """

    z: Floats
    beta: float
    alpha: Floats
    slope: float
    converged: bool


def gradient(limit: LimitState, z: Floats) -> tuple[float, Floats]:
    """Value and slope of a limit state at a point, by central differences in one batch."""
    count = z.size
    steps = STEP * np.eye(count)
    points = np.concatenate([z[None, :], z + steps, z - steps])
    g = limit(points, True)
    return float(g[0]), (g[1 : 1 + count] - g[1 + count :]) / (2.0 * STEP)


def find_design_point(limit: LimitState, start: Floats) -> DesignPoint:
    """Search the design point from a starting point.

    Parameters
    ----------
    limit : LimitState
    start : array, shape (latents,)

    Returns
    -------
    DesignPoint
        `converged` is false where the search ended elsewhere, for example where nothing in reach
        makes the igniter fail.
    """
    z = start.copy()
    typical = float(limit(np.zeros((1, z.size)), True)[0])
    scale = max(abs(typical), 1e-6)
    converged = False
    weight = 0.0
    value, slope = gradient(limit, z)
    for _ in range(ROUNDS):
        steep = float(np.linalg.norm(slope))
        if steep < 1e-12:
            break
        alpha = -slope / steep
        aim = (float(alpha @ z) + value / steep) * alpha
        off_line = float(np.linalg.norm(z - float(alpha @ z) * alpha))
        if abs(value) / steep < CLOSE and off_line < 20.0 * CLOSE * max(
            1.0, float(np.linalg.norm(z))
        ):
            converged = True
            break
        way = aim - z
        # The merit function falls along `way` where the weight is above |z| / |slope|.
        weight = max(weight, 2.0 * float(np.linalg.norm(z)) / steep + 10.0 / scale)
        lengths = 0.5 ** np.arange(8.0)
        tries = z + lengths[:, None] * way
        g = limit(tries, True)
        merit = 0.5 * (tries**2).sum(axis=1) + weight * np.abs(g)
        now = 0.5 * float(z @ z) + weight * abs(value)
        better = np.flatnonzero(merit < now)
        pick = int(better[0]) if better.size else int(np.argmin(merit))
        z = tries[pick]
        value, slope = gradient(limit, z)
    steep = max(float(np.linalg.norm(slope)), 1e-300)
    alpha = -slope / steep
    # Move the last bit onto the limit state.
    z = z + value / steep * alpha if converged else z
    return DesignPoint(z, float(alpha @ z), alpha, steep, converged)
