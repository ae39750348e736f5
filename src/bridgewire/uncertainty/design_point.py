"""The most likely way to fail: the point of a limit state nearest to the typical values.

As in the method of Hasofer, Lind, Rackwitz and Fiessler (R. Rackwitz, B. Fiessler, Computers &
Structures 9, 1978, 489-494; from memory) each step turns to the direction of steepest fall. How
far to go is not taken from the slope but searched along that direction: where a bridge lights or
parts the limit state has kinks, at which slopes say little about distances.
"""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.physics.network import Floats
from bridgewire.uncertainty.limit_state import LimitState

STEP = 0.05
"""Half the distance in z over which slopes are taken."""
ROUNDS = 20
TURNS = 4
"""Turns far out, where nothing fails straight ahead of typical values."""
FARTHEST = 40.0
"""Standard deviations up to which failure is looked for; its probability there is 1e-350."""
STRAIGHT = 0.999
"""Cosine between two directions that are taken as one."""
STEADY = 1e-3
"""Relative change of the distance that is none."""
_GRID = 32


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
    converged : bool
        Whether its distance or direction had settled.
    """

    z: Floats
    beta: float
    alpha: Floats
    converged: bool


def gradient(limit: LimitState, z: Floats) -> Floats:
    """Slope of a limit state at a point, by central differences in one batch."""
    count = z.size
    steps = STEP * np.eye(count)
    g = limit(np.concatenate([z + steps, z - steps]), True)
    return (g[:count] - g[count:]) / (2.0 * STEP)


def crossing(limit: LimitState, direction: Floats, near: float | None = None) -> float | None:
    """Distance along a direction at which a limit state first changes its sign, or None.

    Parameters
    ----------
    limit : LimitState
    direction : array, shape (latents,)
        Of length 1.
    near : float, optional
        Where it is expected.
    """

    def signs(t: Floats) -> np.ndarray:
        return limit(t[:, None] * direction, False) < 0.0

    reach = FARTHEST if near is None else min(1.5 * near, FARTHEST)
    while True:
        t = np.linspace(0.0, reach, _GRID)
        fails = signs(t)
        changed = np.flatnonzero(fails != fails[0])
        if changed.size:
            break
        if reach >= FARTHEST:
            return None
        reach = FARTHEST
    low, high = t[changed[0] - 1], t[changed[0]]
    while high - low > 1e-4 * max(high, 1.0):
        t = np.linspace(low, high, _GRID)
        changed = np.flatnonzero(signs(t) != fails[0])
        if not changed.size:
            break
        low, high = t[max(changed[0] - 1, 0)], t[changed[0]]
    return float(high)


def find_design_point(limit: LimitState, start: Floats) -> DesignPoint | None:
    """Search the design point.

    Parameters
    ----------
    limit : LimitState
    start : array, shape (latents,)
        Nought for the steepest fall from typical values; else a direction to begin with.

    Returns
    -------
    DesignPoint or None
        None where nothing that the search met makes the igniter fail (or light, where typical
        values fail).
    """
    origin = np.zeros(start.size)
    typical_fails = bool(limit(origin[None, :], False)[0] < 0.0)
    sign = -1.0 if typical_fails else 1.0
    length = float(np.linalg.norm(start))
    if length > 0.0:
        direction = start / length
    else:
        slope = gradient(limit, origin)
        steep = float(np.linalg.norm(slope))
        if steep < 1e-9:
            return None
        direction = -sign * slope / steep
    best: DesignPoint | None = None
    near: float | None = None
    for number in range(ROUNDS):
        t = crossing(limit, direction, near)
        if t is None:
            if best is None:
                # Nothing straight ahead: look where it falls out there.
                slope = gradient(limit, 0.5 * FARTHEST * direction)
                steep = float(np.linalg.norm(slope))
                if number >= TURNS or steep < 1e-9:
                    return None
                direction = -sign * slope / steep
                continue
            # Too far a turn: half of it.
            direction = _between(direction, best.z / np.linalg.norm(best.z))
            near = None
            continue
        near = t
        z = t * direction
        slope = gradient(limit, z)
        steep = float(np.linalg.norm(slope))
        alpha = -slope / steep if steep > 1e-9 else sign * direction
        turn = sign * float(alpha @ direction)
        settled = turn > STRAIGHT
        if best is not None:
            settled |= abs(t - abs(best.beta)) < STEADY * max(t, 0.1)
        if best is None or t < abs(best.beta):
            best = DesignPoint(z, sign * t, alpha, settled)
            if settled:
                break
            direction = sign * alpha
        elif settled:
            best = DesignPoint(best.z, best.beta, best.alpha, True)
            break
        else:
            direction = _between(direction, best.z / np.linalg.norm(best.z))
    return best


def _between(a: Floats, b: Floats) -> Floats:
    middle = a + b
    length = float(np.linalg.norm(middle))
    out: Floats = b if length < 1e-9 else middle / length
    return out
