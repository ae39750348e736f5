"""Go/no-go trials: levels, how many were tried at each, how many lit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike

from bridgewire.bench.sensitivity.links import Array

SCALES = ("linear", "ln", "log10")
"""Scales of the level on which a response curve is a straight line."""


def to_scale(level: ArrayLike, scale: str) -> Array:
    """Put levels on a scale.

    Parameters
    ----------
    level : array of float
        In any unit; above 0 for a logarithmic scale.
    scale : str
        One of `SCALES`.

    Returns
    -------
    array of float

    Raises
    ------
    ValueError
        If a level is not above 0 on a logarithmic scale, or there is no such scale.

    Examples
    --------
    >>> to_scale([1.0, 10.0], "log10").tolist()
    [0.0, 1.0]
    """
    x = np.asarray(level, dtype=np.float64)
    if scale == "linear":
        return x
    if scale not in SCALES:
        raise ValueError(f"no scale {scale!r}; there are {', '.join(SCALES)}")
    if np.any(x <= 0.0):
        raise ValueError("a level on a logarithmic scale must be above 0")
    return np.log(x) if scale == "ln" else np.log10(x)


def from_scale(x: float, scale: str) -> float:
    """Turn a place on a scale back into a level; infinite where it is beyond all numbers.

    >>> from_scale(2.0, "log10"), from_scale(0.0, "ln"), from_scale(-1.5, "linear")
    (100.0, 1.0, -1.5)
    >>> from_scale(float("-inf"), "ln"), from_scale(1e6, "ln")
    (0.0, inf)
    """
    if scale == "linear":
        return x
    try:
        return float(np.e**x if scale == "ln" else 10.0**x)
    except OverflowError:
        return float("inf")


def _frozen_array(values: ArrayLike) -> Array:
    array = np.array(values, dtype=np.float64)
    array.flags.writeable = False
    return array


@frozen(eq=False)
class Trials:
    """Groups of shots; each group has one level.

    Made by `from_shots` or `from_groups`.
    """

    level: Array
    """Level of each group, in the unit of the trial."""
    tried: Array
    """Shots in each group."""
    lit: Array
    """How many of them lit."""
    order: tuple[tuple[float, bool], ...] | None = None
    """Level and result shot by shot, where the order is known."""

    @property
    def shots(self) -> int:
        """Number of shots."""
        return int(self.tried.sum())

    @property
    def shots_lit(self) -> int:
        """Number of shots that lit."""
        return int(self.lit.sum())

    @property
    def range(self) -> tuple[float, float]:
        """Lowest and highest level tested."""
        return float(self.level.min()), float(self.level.max())


def from_shots(level: Sequence[float], lit: Sequence[int | bool]) -> Trials:
    """Trials from single shots in the order they were made; shots at one level are one group.

    Parameters
    ----------
    level : sequence of float
    lit : sequence of int or bool
        1 lit, 0 did not light.

    Returns
    -------
    Trials
        Groups in rising order of level.

    Raises
    ------
    ValueError
        If there are no shots, the lengths differ, or a value is not allowed.

    Examples
    --------
    >>> t = from_shots([2.0, 1.0, 2.0], [1, 0, 0])
    >>> t.level.tolist(), t.tried.tolist(), t.lit.tolist()
    ([1.0, 2.0], [1.0, 2.0], [0.0, 1.0])
    """
    x = np.asarray(level, dtype=np.float64)
    y = np.asarray(lit, dtype=np.float64)
    if x.ndim != 1 or x.shape != y.shape or x.size == 0:
        raise ValueError(
            "levels and results must be two lists of one length, with one shot or more"
        )
    if not np.all(np.isfinite(x)) or not np.all((y == 0.0) | (y == 1.0)):
        raise ValueError("levels must be finite, results 0 or 1")
    levels, group = np.unique(x, return_inverse=True)
    return Trials(
        _frozen_array(levels),
        _frozen_array(np.bincount(group)),
        _frozen_array(np.bincount(group, weights=y)),
        tuple((float(a), bool(b)) for a, b in zip(x, y, strict=True)),
    )


def from_groups(level: Sequence[float], tried: Sequence[int], lit: Sequence[int]) -> Trials:
    """Trials from counts; each row stays a group of its own, also where levels repeat.

    Parameters
    ----------
    level : sequence of float
    tried : sequence of int
        At least 1 each.
    lit : sequence of int
        0 to `tried`.

    Returns
    -------
    Trials
        In the order given.

    Raises
    ------
    ValueError
        If there are no rows, the lengths differ, or a value is not allowed.

    Examples
    --------
    >>> from_groups([1.0, 2.0], [10, 10], [3, 8]).shots_lit
    11
    """
    x = np.asarray(level, dtype=np.float64)
    n = np.asarray(tried, dtype=np.float64)
    k = np.asarray(lit, dtype=np.float64)
    if x.ndim != 1 or x.size == 0 or x.shape != n.shape or x.shape != k.shape:
        raise ValueError("levels, tried and lit must be lists of one length, with one row or more")
    whole = np.all(n == np.floor(n)) and np.all(k == np.floor(k))
    if not (np.all(np.isfinite(x)) and whole and np.all((n >= 1) & (k >= 0) & (k <= n))):
        raise ValueError("levels must be finite, tried at least 1, lit 0 to tried, all whole")
    return Trials(_frozen_array(x), _frozen_array(n), _frozen_array(k))
