"""The choices that no other choice beats."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")


def pareto(choices: Sequence[T], vector: Callable[[T], Sequence[float]]) -> list[T]:
    """Keep the choices that no other is at least as good as in all respects and better in one.

    Parameters
    ----------
    choices : sequence
    vector : callable
        Gives the respects of a choice, each the better the smaller.

    Returns
    -------
    list
        In the order of `choices`; of choices that are alike in all respects the first.

    Examples
    --------
    >>> pareto([(1, 2), (2, 1), (2, 2), (1, 2)], lambda v: v)
    [(1, 2), (2, 1)]
    """
    vectors = [tuple(vector(c)) for c in choices]
    kept = []
    for i, mine in enumerate(vectors):
        beaten = any(
            all(a <= b for a, b in zip(other, mine, strict=True)) and (other != mine or j < i)
            for j, other in enumerate(vectors)
            if j != i
        )
        if not beaten:
            kept.append(choices[i])
    return kept
