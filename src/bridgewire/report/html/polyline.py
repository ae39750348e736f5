"""Curves with no more points than the eye needs, written shortly."""

from __future__ import annotations

import numpy as np

from bridgewire.physics.network import Bools, Floats


def simplified(x: Floats, y: Floats, tolerance: float) -> Bools:
    """Which points of a polyline to keep.

    Parameters
    ----------
    x, y : array
        On the drawing; at least one point.
    tolerance : float
        How far the simpler line may be from a point left out, in the same units.

    Returns
    -------
    bool array
        The first and the last point are kept.

    Notes
    -----
    Douglas and Peucker, Cartographica 10 (1973) 112; distances are taken to the chord's segment.

    Examples
    --------
    >>> simplified(np.array([0.0, 1, 2, 3]), np.array([0.0, 0.01, 0, 5]), 0.1).tolist()
    [True, False, True, True]
    """
    keep = np.zeros(x.size, dtype=bool)
    keep[[0, -1]] = True
    spans = [(0, x.size - 1)]
    while spans:
        a, b = spans.pop()
        if b - a < 2:
            continue
        px, py = x[a + 1 : b] - x[a], y[a + 1 : b] - y[a]
        dx, dy = x[b] - x[a], y[b] - y[a]
        length = dx * dx + dy * dy
        along = np.clip((px * dx + py * dy) / length, 0.0, 1.0) if length > 0.0 else 0.0 * px
        gap = np.hypot(px - along * dx, py - along * dy)
        furthest = int(np.argmax(gap))
        if gap[furthest] > tolerance:
            middle = a + 1 + furthest
            keep[middle] = True
            spans += [(a, middle), (middle, b)]
    return keep


def path_data(x: Floats, y: Floats, tolerance: float = 0.6) -> str:
    """SVG path data through some points, in whole units, relative after the first.

    >>> path_data(np.array([0.0, 10, 20, 30]), np.array([0.0, 0, 0, 7.2]))
    'M0 0l20 0 10 7'
    """
    keep = simplified(x, y, tolerance)
    points = np.stack([np.rint(x[keep]), np.rint(y[keep])], axis=1).astype(int)
    steps = np.diff(points, axis=0)
    steps = steps[(steps != 0).any(axis=1)]
    head = f"M{points[0, 0]} {points[0, 1]}"
    if not steps.size:
        return f"{head}h0"
    return f"{head}l{' '.join(f'{dx} {dy}' for dx, dy in steps.tolist())}"
