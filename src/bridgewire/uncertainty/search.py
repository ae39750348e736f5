"""Search of the tolerance box for late, early or missing lights where nothing is proven.

A fixed number of points: likely corners, random ones and random points inside, then some rounds in
which the worst point of each igniter is moved to the other end of one value at a time. The random
numbers are always the same, so a search gives the same answer each time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import define, frozen

from bridgewire.physics.network import Bools, Floats
from bridgewire.timeline.jobs import Supplies
from bridgewire.timeline.results import FiringResult
from bridgewire.uncertainty.box import Box, Happened, run_points

ROUNDS = 3
RANDOM_CORNERS, RANDOM_INSIDE = 32, 16
_UNLIT = 1e9


@frozen
class Question:
    """One igniter under one cue."""

    cue: int
    igniter: int
    switch_s: float
    firings: tuple[int, ...]
    """Places of the cue's firings among those of the component."""


@define(eq=False)
class Answer:
    """The extremes that a search found."""

    latest: float = -math.inf
    """``inf`` where it is not lit at some point; -inf where it was lit before at all of them."""
    earliest: float = math.inf
    reached: float = math.inf
    """Least peak rise over the rise that lights, among points at which it is not lit."""
    points: int = 0


def search(
    box: Box, supplies: Supplies, questions: Sequence[Question], budget: int
) -> list[Answer]:
    """Look for the extreme light times of some igniters of one component.

    Parameters
    ----------
    box : Box
    supplies : Supplies
    questions : sequence of Question
    budget : int
        Points for each round (the first one takes what it needs).
    """
    rng = np.random.default_rng(0)
    answers = [Answer() for _ in questions]
    best: list[dict[bool, tuple[float, Floats]]] = [{} for _ in questions]

    def run(cube: Floats) -> list[tuple[Floats, Floats]]:
        happened = run_points(box.layout, supplies, box.results, box.points(cube))
        scores: list[tuple[Floats, Floats]] = []
        for n, question in enumerate(questions):
            time, peak, before = _times(box.results, happened, question)
            _note(answers[n], time, peak, before)
            short = _UNLIT * (2.0 - np.minimum(peak, 1.0))
            late = np.where(before, -1.0, np.where(np.isinf(time), short, time))
            early = np.where(before, 0.0, np.where(np.isinf(time), short, time))
            scores.append((late, -early))
            for latest, score in ((True, late), (False, -early)):
                at = int(np.argmax(score))
                if latest not in best[n] or score[at] > best[n][latest][0]:
                    best[n][latest] = (float(score[at]), cube[at].copy())
        return scores

    run(_start(box, questions, rng))
    each = max(budget // (2 * len(questions)), 4)
    joined = np.empty((0, box.width))
    for _ in range(ROUNDS):
        cubes, spans = [joined], []
        start = joined.shape[0]
        for n in range(len(questions)):
            for latest in (True, False):
                score, base = best[n][latest]
                which = np.arange(box.width)
                if which.size > each:
                    which = np.sort(rng.choice(which, each, replace=False))
                moved = np.tile(base, (which.size, 1))
                moved[np.arange(which.size), which] = _other_end(base[which])
                cubes.append(moved)
                spans.append((n, latest, score, base, which, start))
                start += which.size
        scores = run(np.concatenate(cubes))
        # All single moves that helped, taken together: tried with the next round.
        points: list[Floats] = []
        for n, latest, score, base, which, start in spans:
            mine = scores[n][0 if latest else 1][start : start + which.size]
            better = which[mine > score]
            point = base.copy()
            point[better] = _other_end(base[better])
            points.append(point)
        joined = np.array(points)
    run(joined)
    return answers


def _other_end(where: Floats) -> Floats:
    return np.where(where > 0.5, 0.0, 1.0)


def _start(box: Box, questions: Sequence[Question], rng: np.random.Generator) -> Floats:
    """Likely corners of each igniter, random corners, random points inside."""
    c = box.component
    likely = [
        cube
        for q in questions
        for path in (0.0, 1.0)
        for beside in (0.0, 1.0)
        for slow in (box.slow(c.targets[q.igniter], path, beside),)
        for cube in (slow, 1.0 - slow)
    ]
    corners = rng.integers(0, 2, (RANDOM_CORNERS, box.width)).astype(float)
    inside = rng.random((RANDOM_INSIDE, box.width))
    return np.concatenate([np.array(likely), corners, inside])


def _times(
    results: Sequence[FiringResult], happened: Sequence[Happened], question: Question
) -> tuple[Floats, Floats, Bools]:
    """Light time after switching, highest x, and whether it was lit before, at each point."""
    bridge = results[0].component.targets[question.igniter]
    first = happened[question.firings[0]]
    column = results[question.firings[0]].columns[bridge]
    before = first.lit_before[:, column].copy()
    time = np.full(before.size, np.inf)
    peak = np.zeros(before.size)
    for place in question.firings:
        result, found = results[place], happened[place]
        column = result.columns[bridge]
        at = result.firing.start_s + found.light_s[:, column] - question.switch_s
        time = np.where(np.isinf(time) & ~np.isnan(at), at, time)
        peak = np.maximum(peak, found.peak_x[:, column])
    before |= time < 0.0
    return time, peak, before


def _note(answer: Answer, time: Floats, peak: Floats, before: Bools) -> None:
    answer.points += time.size
    if before.any():
        answer.earliest = min(answer.earliest, 0.0)
    open_ = ~before
    if not open_.any():
        return
    answer.latest = max(answer.latest, float(time[open_].max()))
    answer.earliest = min(answer.earliest, float(time[open_].min()))
    unlit = open_ & np.isinf(time)
    if unlit.any():
        answer.reached = min(answer.reached, float(peak[unlit].min()))
