"""Where to write a curve's name on a plot so that it lies on no other curve or name."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_CLOSE = 3.0
"""Curves nearer than this everywhere share one label, in drawing units."""
_LETTER, _HEIGHT, _OFFSET = 7.2, 14.0, 6.0
_TRIES = 39


@frozen(eq=False)
class Curve:
    """A curve in drawing units; y grows downwards."""

    name: str
    x: Floats
    y: Floats
    avoid_y: float = math.nan
    """Where the curve runs at this height it may share it with others, so no name stands there."""

    def runs_at(self, x: float) -> bool:
        """Whether the name may stand at a place across."""
        return not abs(_at(self, x) - self.avoid_y) < 1.0


@frozen
class Label:
    """A name at a place, for one curve or several that coincide."""

    curves: tuple[int, ...]
    x: float
    y: float
    room: float
    """How far the nearest other curve or name is; negative where one is in the way."""


def place_labels(
    curves: Sequence[Curve], across: tuple[float, float], down: tuple[float, float]
) -> list[Label]:
    """Find a place for each curve's name.

    Parameters
    ----------
    curves : sequence of Curve
    across, down : tuple of float
        Left and right, top and bottom of the panel.

    Returns
    -------
    list of Label
        Just above or below its curve, where the nearest other curve or label is farthest.
    """
    labels: list[Label] = []
    taken: list[tuple[float, float, float, float]] = []
    groups = _groups(curves)
    for group in groups:
        name = ", ".join(curves[k].name for k in group)
        half = 0.5 * _LETTER * min(len(name), 34)
        best: tuple[float, float, float] | None = None
        for x in np.linspace(across[0] + half + 4, across[1] - half - 4, _TRIES).tolist():
            if not curves[group[0]].runs_at(x):
                continue
            for side in (-1.0, 1.0):
                y = _at(curves[group[0]], x) + side * _OFFSET + (4.0 if side > 0 else 0.0)
                middle = y - 0.5 * side * -_HEIGHT if side > 0 else y - 0.5 * _HEIGHT
                if not down[0] + 9 < middle < down[1] - 9:
                    continue
                box = (x - half, middle - 0.5 * _HEIGHT, x + half, middle + 0.5 * _HEIGHT)
                room = _room(box, curves, taken)
                if best is None or room > best[0] + 0.5:
                    best = (room, x, middle)
        if best is None:
            best = (-99.0, 0.5 * (across[0] + across[1]), 0.5 * (down[0] + down[1]))
        room, x, middle = best
        taken.append((x - half, middle - 0.5 * _HEIGHT, x + half, middle + 0.5 * _HEIGHT))
        labels.append(Label(group, x, middle + 4.0, room))
    return labels


def _groups(curves: Sequence[Curve]) -> list[tuple[int, ...]]:
    groups: list[list[int]] = []
    for n, curve in enumerate(curves):
        for group in groups:
            if _apart(curves[group[0]], curve) < _CLOSE:
                group.append(n)
                break
        else:
            groups.append([n])
    return [tuple(g) for g in groups]


def _apart(one: Curve, other: Curve) -> float:
    """Largest distance of two curves; infinite where they are not given at the same places."""
    if one.x.size != other.x.size:
        return float("inf")
    return float(np.max(np.abs(one.y - other.y)))


def _at(curve: Curve, x: float) -> float:
    return float(np.interp(x, curve.x, curve.y))


def _room(
    box: tuple[float, float, float, float],
    curves: Sequence[Curve],
    taken: Sequence[tuple[float, float, float, float]],
) -> float:
    """How far the nearest curve or label is from a box; negative where one crosses it."""
    left, top, right, bottom = box
    room = 40.0
    for curve in curves:
        inside = (curve.x >= left) & (curve.x <= right)
        ys = np.append(curve.y[inside], [_at(curve, left), _at(curve, right)])
        crosses = (float(ys.min()) < bottom) and (float(ys.max()) > top)
        if crosses:
            room = min(room, -10.0)
        else:
            room = min(room, max(float(ys.min()) - bottom, top - float(ys.max())))
    for a, b, c, d in taken:
        if left < c and right > a and top < d and bottom > b:
            room = min(room, -20.0)
    return room
