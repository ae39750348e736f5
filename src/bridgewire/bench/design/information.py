"""How many bits the outcome of a trial tells about an answer.

The outcome is discrete (see `bridgewire.bench.design.outcomes`), the answer is yes or no. Every
draw of what is unknown has a probability of yes, and outcomes that were drawn from it. From both
follows a table of outcome by answer, and from that the mutual information, in bits:

``I = sum p(y, a) log2(p(y, a) / (p(y) p(a)))``

A table from a limited number of draws makes outcomes look telling that are not. That is taken off:
each draw is left out once (jackknife), which also gives the standard error. Draws, not outcomes,
are left out, as outcomes of one draw go together.

References: T. M. Cover and J. A. Thomas, *Elements of Information Theory*, 2nd ed. 2006, eq. (2.28)
(from memory); B. Efron and C. Stein, Ann. Stat. 9 (1981) 586, on the jackknife (from memory).
"""

from __future__ import annotations

import math

import numpy as np
from attrs import field, frozen

from bridgewire.physics.network import Floats


@frozen(eq=False)
class Information:
    """What a trial tells about an answer.

    Attributes
    ----------
    bits : float
        Expected gain, with the bias taken off; may come out a little below 0 by chance.
    se : float
        Its standard error.
    plain_bits : float
        As the table has it, before the bias is taken off.
    influence : array, shape (draws,)
        How much each draw moves it; for the standard error of a difference.
    """

    bits: float
    se: float
    plain_bits: float
    influence: Floats = field(repr=False)


def entropy_bits(probability: float) -> float:
    """How unsure a yes or no is, bits.

    >>> entropy_bits(0.5), round(entropy_bits(0.95), 4), entropy_bits(1.0)
    (1.0, 0.2864, 0.0)
    """
    p = min(max(probability, 0.0), 1.0)
    return sum(-q * math.log2(q) for q in (p, 1.0 - p) if q > 0.0)


def information(counts: Floats, yes: Floats, weight: Floats) -> Information:
    """Mutual information between outcome and answer.

    Parameters
    ----------
    counts : array, shape (draws, outcomes)
        How often each outcome came up in each draw.
    yes : array, shape (draws,)
        Probability of yes in each draw, 0 to 1.
    weight : array, shape (draws,)
        Adds up to 1.

    Returns
    -------
    Information

    Raises
    ------
    ValueError
        If there are fewer than two draws.

    Examples
    --------
    An outcome that is the answer, and one that has nothing to do with it:

    >>> yes = np.tile([0.0, 1.0], 100)
    >>> even = np.full(200, 1 / 200)
    >>> bool(information(np.stack([1 - yes, yes], axis=1), yes, even).bits > 0.99)
    True
    >>> bool(abs(information(np.ones((200, 1)), yes, even).bits) < 1e-12)
    True
    """
    draws = counts.shape[0]
    if draws < 2:
        raise ValueError("at least two draws are needed")
    each = counts / np.maximum(counts.sum(axis=1, keepdims=True), 1e-300)
    w = weight[:, None]
    own_yes, own_no = each * (yes[:, None]), each * (1.0 - yes[:, None])
    table = np.stack([(w * own_yes).sum(axis=0), (w * own_no).sum(axis=0)])
    plain = float(_of_tables(table[None])[0])
    left = np.stack([table[0] - w * own_yes, table[1] - w * own_no], axis=1)
    left /= np.maximum(1.0 - weight, 1e-12)[:, None, None]
    without = _of_tables(np.maximum(left, 0.0))
    bias = float(((1.0 - weight) * (without - plain)).sum())
    # What a draw adds to the estimate, for each unit of its weight.
    influence = (plain - without) * (1.0 - weight) / np.maximum(weight, 1e-300)
    influence = np.where(weight > 0.0, influence, 0.0)
    influence = influence - float((weight * influence).sum())
    effective = 1.0 / float((weight**2).sum())
    se = math.sqrt(float((weight**2 * influence**2).sum()) * effective / max(effective - 1.0, 1.0))
    return Information(plain - bias, se, plain, influence)


def difference_se(a: Information, b: Information, weight: Floats) -> float:
    """Standard error of the difference of two gains over the same draws, each over its cost.

    Parameters
    ----------
    a, b : Information
        With influence already divided by what each trial costs.
    weight : array
    """
    off = a.influence - b.influence
    return math.sqrt(float((weight**2 * off * off).sum()))


def _of_tables(tables: Floats) -> Floats:
    """Mutual information of tables: shape (tables, answers, outcomes), each adding up to 1."""
    by_answer = tables.sum(axis=2, keepdims=True)
    by_outcome = tables.sum(axis=1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        terms = np.where(tables > 0.0, tables * np.log2(tables / (by_answer * by_outcome)), 0.0)
    out: Floats = terms.sum(axis=(1, 2))
    return out


def told_shares(counts: Floats, values: Floats, weight: Floats) -> Floats:
    """Part of the variance of each unknown that the outcome takes away, 0 to 1.

    Parameters
    ----------
    counts : array, shape (draws, outcomes)
    values : array, shape (draws, unknowns)
    weight : array, shape (draws,)

    Returns
    -------
    array, shape (unknowns,)
        What chance brings with so many outcomes is taken off (epsilon squared: T. L. Kelley, Proc.
        Natl. Acad. Sci. 21 (1935) 554, from memory).
    """
    each = counts / np.maximum(counts.sum(axis=1, keepdims=True), 1e-300)
    joint = weight[:, None] * each
    p = joint.sum(axis=0)
    mean = weight @ values
    off = values - mean
    variance = weight @ (off * off)
    inside = p > 0.0
    middle = (joint.T @ off)[inside] / p[inside, None]
    between = p[inside] @ (middle * middle)
    with np.errstate(divide="ignore", invalid="ignore"):
        eta = np.where(variance > 1e-12, between / variance, 0.0)
    effective = 1.0 / float((weight**2).sum())
    used = int(inside.sum())
    fixed = 1.0 - (1.0 - eta) * (effective - 1.0) / max(effective - used, 1.0)
    out: Floats = np.clip(fixed, 0.0, 1.0)
    return out
