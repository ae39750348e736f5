"""Whether the runs of a design can be cut from the drums in stock."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence

from bridgewire.planner.circuits import Lay
from bridgewire.planner.problem import Problem
from bridgewire.planner.solver import cp_model, new_solver

STEP_M = 0.1
"""Pieces are rounded up to this where the site does not say."""


def pieces_m(problem: Problem, lay: Lay) -> tuple[float, ...]:
    """The pieces that a run is cut as: its longest length, the site's allowance, whole steps.

    A run with joints is of equal pieces.
    """
    cutting = problem.site.cutting
    step = cutting.step_m or STEP_M
    longest = lay.length_m * (1.0 + problem.site.plan.run_tol_pct / 100.0)
    each = longest / (lay.joints + 1) + (cutting.allowance_m or 0.0)
    return (round(max(1, math.ceil(each / step - 1e-6)) * step, 6),) * (lay.joints + 1)


def can_cut(
    drums: Sequence[tuple[float, int]], pieces: Mapping[float, int], seconds: float, seed: int
) -> bool | None:
    """Whether pieces can be cut from drums; None where time ran out.

    Parameters
    ----------
    drums : sequence of (float, int)
        Length in m and how many.
    pieces : mapping of float to int
        How many of each length, m.
    seconds : float
    seed : int
        Of the solver.

    Examples
    --------
    >>> can_cut([(10.0, 2)], {6.0: 1, 5.0: 2}, 5.0, 1)
    True
    >>> can_cut([(10.0, 2)], {6.0: 3}, 5.0, 1)
    False
    """
    if _first_fit(drums, pieces):
        return True
    cp = cp_model()
    model = cp.CpModel()
    each = [length for length, count in drums for _ in range(count)]
    taken = {
        (length, d): model.new_int_var(0, number, "")
        for length, number in pieces.items()
        for d in range(len(each))
    }
    for length, number in pieces.items():
        model.add(sum(taken[length, d] for d in range(len(each))) == number)
    for d, drum in enumerate(each):
        used = sum(round(length * 1000) * taken[length, d] for length in pieces)
        model.add(used <= int(drum * 1000 + 1e-6))
    status = new_solver(seconds, seed).solve(model)
    if status in (cp.OPTIMAL, cp.FEASIBLE):
        return True
    return False if status == cp.INFEASIBLE else None


def _first_fit(drums: Sequence[tuple[float, int]], pieces: Mapping[float, int]) -> bool:
    left = sorted((length for length, count in drums for _ in range(count)), reverse=True)
    for piece in sorted(Counter(pieces).elements(), reverse=True):
        spot = next((d for d, rest in enumerate(left) if rest >= piece - 1e-9), None)
        if spot is None:
            return False
        left[spot] -= piece
    return True
