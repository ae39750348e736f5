"""Makes a design better bit by bit: some of it is planned anew, the rest stays.

In most steps that is a few positions near one another. Now and then it is which box everything
hangs on, so that a box may become needless.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence

from bridgewire.planner.choice import Choice
from bridgewire.planner.clock import Clock, OutOfTimeError
from bridgewire.planner.design import Cut, Design
from bridgewire.planner.master import Master
from bridgewire.planner.prices import Prices
from bridgewire.planner.problem import Problem

FEWEST, MOST = 4, 12
"""Positions planned anew at once."""
STEP_S = 6.0
"""Longest time for one step."""
MOVE_EVERY = 8
"""In each so many-th step, what hangs together stays together, but may move to other boxes."""
MOVE_S = 15.0


def improve(
    problem: Problem,
    choice: Choice,
    prices: Prices,
    cuts: Sequence[Cut],
    limits: Mapping[int, int],
    design: Design,
    clock: Clock,
    seed: int,
    workers: int,
) -> Design:
    """Look for a cheaper design near one.

    Parameters
    ----------
    problem, choice, prices, cuts, limits
        As for `bridgewire.planner.master.Master`.
    design : Design
        To start from.
    clock : Clock
    seed, workers : int

    Returns
    -------
    Design
        The same where nothing better was found.
    """
    dice = random.Random(seed)
    number = min(6, len(problem.positions))
    centres: list[str] = []
    quiet = steps = 0
    while not clock.out and quiet < 2 * len(problem.positions):
        free: frozenset[str] = frozenset()
        sets: frozenset[frozenset[str]] = frozenset()
        moving = steps % MOVE_EVERY == 0
        steps += 1
        if moving:
            sets = frozenset(frozenset(f.shape.positions) for f in design.feeds)
        else:
            if not centres:
                centres = list(problem.positions)
                dice.shuffle(centres)
            free = frozenset(_near(problem, centres.pop())[:number])
        master = Master(
            problem,
            choice,
            prices,
            cuts,
            limits=limits,
            kept=design,
            free=free,
            sets=sets,
            clock=clock,
        )
        begun_s = clock.gone_s
        try:
            most_s = min(MOVE_S if moving else STEP_S, clock.left_s)
            solved = master.solve(most_s, seed + steps, design, workers=workers)
        except OutOfTimeError:
            break
        quiet += 1
        if solved.design is not None and solved.design.cost < design.cost:
            design = solved.design
            quiet = 0
        if moving:
            continue
        if solved.optimal and clock.gone_s - begun_s < STEP_S / 3:
            number = min(number + 1, MOST, len(problem.positions))
        elif not solved.optimal:
            number = max(number - 1, min(FEWEST, len(problem.positions)))
    return design


def _near(problem: Problem, centre: str) -> list[str]:
    """Positions, nearest first."""
    where = problem.router.where
    return sorted(problem.positions, key=lambda p: math.dist(where[p], where[centre]))
