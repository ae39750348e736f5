"""A half-way level that assumes only that the share lit does not fall with the level."""

from __future__ import annotations

import numpy as np

from bridgewire.bench.sensitivity.trials import Trials, to_scale


def centred_isotonic(
    trials: Trials, p: float = 0.5, scale: str = "linear", *, shrink: bool = True
) -> float | None:
    """Level at which a share p lights, by centred isotonic regression.

    Parameters
    ----------
    trials : Trials
        Rows of one level are taken together.
    p : float
    scale : str
    shrink : bool
        Add one pseudo-observation of p to each level first, as is usual for up-and-down trials,
        whose shares lean away from the middle.

    Returns
    -------
    float or None
        On the scale; None where the shares do not reach p from both sides.

    References
    ----------
    A. P. Oron, N. Flournoy, Statistics in Biopharmaceutical Research 9 (2017) 258-267.

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.trials import from_groups
    >>> centred_isotonic(from_groups([1, 2], [10, 10], [2, 8]), shrink=False)
    1.5
    """
    x = to_scale(trials.level, scale)
    levels, group = np.unique(x, return_inverse=True)
    n = np.bincount(group, weights=trials.tried)
    k = np.bincount(group, weights=trials.lit)
    share = (k + p) / (n + 1.0) if shrink else k / n
    blocks: list[list[float]] = []
    for place, weight, value in zip(levels, n, share, strict=True):
        blocks.append([float(place), float(weight), float(value)])
        while len(blocks) > 1 and blocks[-2][2] >= blocks[-1][2]:
            x2, w2, p2 = blocks.pop()
            x1, w1, p1 = blocks.pop()
            w = w1 + w2
            blocks.append([(x1 * w1 + x2 * w2) / w, w, (p1 * w1 + p2 * w2) / w])
    places = [b[0] for b in blocks]
    shares = [b[2] for b in blocks]
    if not shares[0] <= p <= shares[-1]:
        return None
    return float(np.interp(p, shares, places))
