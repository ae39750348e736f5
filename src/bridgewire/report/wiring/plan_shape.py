"""The site on paper: scale, the cut of a long front into rows, the curves of runs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
from attrs import frozen

from bridgewire.report.wiring.label_places import Floats
from bridgewire.report.wiring.site import Bundle, Place

EDGE = 45.0
"""Room at the left and right of a row, drawing units; neighbouring rows share that much."""
_TALLEST = 1.1
"""Height of a site over the drawing's width, at most."""
_NEAR, _CLEAR, _END, _STEP, _FAN = 7.0, 11.0, 9.0, 4.0, 16.0
_LEAST_BOW, _MOST_BOW, _BOW = 16.0, 40.0, 0.2


@frozen(eq=False)
class Shape:
    """A site at a scale, before it is cut into rows; y grows downwards."""

    scale: float
    """Drawing units to the metre."""
    rows: int
    stretch: float
    """Length of a row's own part of the site, drawing units."""
    points: Floats
    """Of the places: shape (places, 2)."""
    curves: tuple[Floats, ...]
    """Points of each bundle of runs."""

    def row_of(self, x: float) -> int:
        """The row that a place across the site belongs to."""
        return min(max(int(x // self.stretch), 0), self.rows - 1)

    def left(self, row: int) -> float:
        """What stands at the left edge of a row's drawing."""
        return row * self.stretch - EDGE


def shape_of(places: Sequence[Place], bundles: Sequence[Bundle], width: float, rows: int) -> Shape:
    """Bring a site to scale.

    Parameters
    ----------
    places : sequence of Place
        At least one.
    bundles : sequence of Bundle
    width : float
        Of the drawing.
    rows : int
        Into how many rows the site is cut, west to east.
    """
    metres = np.array([p.at_m for p in places], dtype=float)
    low, high = metres.min(axis=0), metres.max(axis=0)
    across, up = (high - low).tolist()
    if across <= 0.0 and up <= 0.0:
        across = 1.0
    room = width - 2.0 * EDGE
    scale = min(
        room * rows / across if across > 0.0 else math.inf,
        _TALLEST * width / up if up > 0.0 else math.inf,
    )
    points = np.column_stack([(metres[:, 0] - low[0]) * scale, (high[1] - metres[:, 1]) * scale])
    if rows == 1:
        points[:, 0] += 0.5 * (room - (high[0] - low[0]) * scale)
    return Shape(scale, rows, room, points, _curves(points, bundles))


def _curves(points: Floats, bundles: Sequence[Bundle]) -> tuple[Floats, ...]:
    """Straight lines, fanned out between the same places, bowed past places in between."""
    many = Counter(b.ends for b in bundles)
    seen: Counter[tuple[int, int]] = Counter()
    out: list[Floats] = []
    for bundle in bundles:
        a, b = points[bundle.ends[0]], points[bundle.ends[1]]
        along = b - a
        length = float(np.hypot(*along))
        normal = np.array([along[1], -along[0]]) / max(length, 1e-9)
        if normal[1] > 1e-9:
            normal = -normal
        lift = (seen[bundle.ends] - 0.5 * (many[bundle.ends] - 1)) * _FAN
        seen[bundle.ends] += 1
        lift += _bow(points, bundle.ends, a, along, normal)
        count = max(int(length / _STEP), 2)
        t = np.linspace(0.0, 1.0, count + 1)[:, None]
        out.append(a + t * along + 4.0 * t * (1.0 - t) * lift * normal)
    return tuple(out)


def _bow(points: Floats, ends: tuple[int, int], a: Floats, along: Floats, normal: Floats) -> float:
    """How far a line leaves the straight, so that it passes the other places that lie on it.

    Away from them, upwards where they do not say; those right beside an end do not count.
    """
    others = np.delete(points, ends, axis=0)
    length = float(np.hypot(*along))
    if not len(others) or length < 1e-9:
        return 0.0
    share = (others - a) @ along / length**2
    away = (others - a) @ normal
    inside = (share * length > _END) & ((1.0 - share) * length > _END) & (np.abs(away) < _NEAR)
    if not inside.any():
        return 0.0
    needed = (_CLEAR - np.abs(away[inside])) / (4.0 * share[inside] * (1.0 - share[inside]))
    lift = min(max(float(needed.max()), _LEAST_BOW), _MOST_BOW, _BOW * length)
    return -lift if float(away[inside].sum()) > 0.5 else lift


def round_length(most: float) -> float:
    """The longest round length that is no longer than `most`.

    >>> round_length(37.0), round_length(0.9)
    (20.0, 0.5)
    """
    power = 10.0 ** math.floor(math.log10(most))
    return float(next(f * power for f in (5.0, 2.0, 1.0) if f * power <= most * (1 + 1e-9)))
