"""When a measured value of a finding counts as clearly worse than before."""

from __future__ import annotations

import math

TOLERANCE = 0.05
"""A value has to move by more than this part of itself: less may come of rounding, or of a new
version of a kit that changed nothing to speak of."""


def clearly_worse(before: float | None, now: float | None, limit: float | None) -> bool:
    """Whether a measured value moved further to the wrong side of its limit.

    Parameters
    ----------
    before, now : float or None
        The measured value of the same finding then and now; any unit, both the same.
    limit : float or None
        What it is judged by. Without one, the wrong side is not known and every clear move counts.

    Returns
    -------
    bool
        False where there was no value before; True where there was one and now there is none.

    Examples
    --------
    A margin that has to be 1.2, and a light time that may be 1 s:

    >>> clearly_worse(1.10, 1.06, 1.2), clearly_worse(1.10, 1.02, 1.2)
    (False, True)
    >>> clearly_worse(1.5, 1.9, 1.0), clearly_worse(1.5, 1.2, 1.0)
    (True, False)
    """
    if before is None or not math.isfinite(before):
        return False
    if now is None or math.isnan(now):
        return True
    move = now - before
    if abs(move) <= TOLERANCE * max(abs(before), 1e-12):
        return False
    if limit is None or math.isnan(limit):
        return True
    if now == limit:
        return False
    return move > 0 if now > limit else move < 0
