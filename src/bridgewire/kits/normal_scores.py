"""Ranks as standard normal values."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def normal_scores(values: Floats) -> Floats:
    """Replace each value of a column by the normal quantile of its rank; equal ones share one.

    Parameters
    ----------
    values : array, shape (rows, columns)

    Returns
    -------
    array, shape (rows, columns)

    Examples
    --------
    >>> normal_scores(np.array([[10.0], [30.0], [20.0]])).round(3).tolist()
    [[-0.967], [0.967], [0.0]]
    """
    rows = values.shape[0]
    table = np.array([NormalDist().inv_cdf((n + 0.5) / rows) for n in range(rows)])
    out = np.empty(values.shape)
    for k in range(values.shape[1]):
        _, back, counts = np.unique(values[:, k], return_inverse=True, return_counts=True)
        ends = np.cumsum(counts)
        sums = np.add.reduceat(table, np.concatenate([[0], ends[:-1]]))
        out[:, k] = (sums / counts)[back]
    return out
