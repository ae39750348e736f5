"""Small probabilities: importance sampling about the most likely ways to fail."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from bridgewire.physics.network import Floats
from bridgewire.timeline.outcomes import Assessment
from bridgewire.uncertainty.design_point import DesignPoint, find_design_point
from bridgewire.uncertainty.importance import (
    ROUND,
    ImportanceSampling,
    RareFailure,
    explained,
)
from bridgewire.uncertainty.limit_state import IgniterLimit, LimitState, igniter_limit
from bridgewire.uncertainty.streams import Streams

MOST = 100_000
"""Most samples, where the caller says nothing."""
PILOT = 2000
"""Plain samples to begin with."""
COMMON = 20
"""If so many of them fail, plain samples do."""
SCOUTS = ((1.5, 1000), (2.0, 1000), (3.0, 1000))
"""Times the scatter, and how many points, with which further ways to fail are looked for."""
SEARCHES = 10
"""Most searches that begin at failures which no known way explains."""
ASTRAY = (2.0, 4.0, 6.0, 9.0, 13.0, 20.0)
"""Standard deviations at which single values are tried."""
MOST_ASTRAY = 4
"""Most single values with which a search begins."""
APART = 0.5
"""Design points nearer than this are one."""


def igniter_failure(
    assessment: Assessment,
    cue: int,
    igniter: int,
    *,
    seed: int = 1,
    relative_error: float = 0.05,
    most: int = MOST,
) -> RareFailure:
    """Probability that an igniter entry fails under a cue, however small.

    Parameters
    ----------
    assessment : Assessment
    cue, igniter : int
        Indexes in the show.
    seed : int
    relative_error : float
        Sampling ends when the relative standard error is below it.
    most : int
        Most samples.

    Returns
    -------
    RareFailure

    Raises
    ------
    bridgewire.uncertainty.limit_state.OddsError
        If the cue cannot be computed or does not reach the igniter.
    """
    limit = igniter_limit(assessment, cue, igniter)
    name = f"rare/{assessment.cues[cue].id}/{assessment.layout.names[igniter]}"
    return failure(
        limit,
        starts=igniter_starts(limit),
        generator=Streams(seed, 1).generator(name),
        relative_error=relative_error,
        most=most,
    )


def igniter_starts(limit: IgniterLimit) -> list[Floats]:
    """Where to begin the search for ways to fail.

    Typical values; each neighbour slow or fast by itself (neighbours that part late starve what
    lies behind them); and the single values that make the igniter fail soonest when they alone go
    astray, as a bad contact does.
    """
    count = len(limit.latents)
    starts = [np.zeros(count)]
    others = [
        n
        for n, latent in enumerate(limit.latents)
        if latent.group == "igniter itself" and latent.owner != limit.igniter
    ]
    for sign in (3.0, -3.0):
        if others:
            start = np.zeros(count)
            start[others] = sign / math.sqrt(len(others))
            starts.append(start)
    return starts + _astray(limit)


def _astray(limit: IgniterLimit) -> list[Floats]:
    """Directions of single values that fail soonest by themselves."""
    q = limit.plan.quantities
    count = len(limit.latents)
    rows = np.arange(q.typical.size)
    directions = np.zeros((q.typical.size, count + 1))
    np.add.at(directions, (rows, q.common), q.common_weight)
    np.add.at(directions, (rows, q.own), q.own_weight)
    directions = directions[:, :count]
    if q.mixed.size:
        directions[:, q.mixed] = directions[:, q.mixed] @ q.mix
    directions = directions[np.linalg.norm(directions, axis=1) > 0.5]
    if not directions.shape[0]:
        return []
    directions = np.concatenate([directions, -directions])
    points = np.concatenate([t * directions for t in ASTRAY])
    fails = (limit(points, False) < 0.0).reshape(len(ASTRAY), -1)
    first = np.where(fails.any(axis=0), np.argmax(fails, axis=0), len(ASTRAY))
    order = np.argsort(first, kind="stable")[:MOST_ASTRAY]
    return [directions[n] for n in order if first[n] < len(ASTRAY)]


def failure(
    limit: LimitState,
    *,
    starts: Sequence[Floats],
    generator: np.random.Generator,
    relative_error: float = 0.05,
    most: int = MOST,
) -> RareFailure:
    """Probability that a limit state is below 0.

    Parameters
    ----------
    limit : LimitState
    starts : sequence of array
        Points from which design points are searched.
    generator : numpy Generator
    relative_error : float
    most : int
        Most samples.

    Returns
    -------
    RareFailure

    Notes
    -----
    Where plain samples fail often enough, they are all that is used. Else samples come from a
    mixture: normal scatter about each design point, about the typical values
    (so that no weight is above 10) and, wider, about the typical values. Before
    that, points drawn with much more scatter look for failures that no design point explains; such
    failures, here or among the samples, start a new search. The estimate has no bias for any
    design points; a way to fail that no point meets is missed, and cannot be told from nothing.
    """
    pilot = ImportanceSampling(limit, [], generator, plain=True)
    pilot.more(PILOT)
    modes = _search(limit, starts)
    if pilot.sum >= COMMON:
        # Not rare: plain samples do, whatever the ways to fail are.
        pilot.modes = modes
        while pilot.drawn < most and not pilot.good_enough(relative_error):
            pilot.more(min(ROUND, most - pilot.drawn))
        return pilot.result(relative_error)
    _scout(limit, modes, generator)
    run = ImportanceSampling(limit, modes, generator)
    searches = 0
    while run.drawn < most and not run.good_enough(relative_error) and not run.enough:
        run.more(min(ROUND, most - run.drawn))
        strange = run.strangest()
        if strange is not None and searches < SEARCHES:
            searches += 1
            found = find_design_point(limit, strange)
            if found is not None and _is_new(found, run.modes):
                run = ImportanceSampling(limit, [*run.modes, found], generator)
    return run.result(relative_error)


def _search(limit: LimitState, starts: Sequence[Floats]) -> list[DesignPoint]:
    modes: list[DesignPoint] = []
    for start in starts:
        found = find_design_point(limit, start)
        if found is not None and _is_new(found, modes):
            modes.append(found)
    return modes


def _scout(limit: LimitState, modes: list[DesignPoint], generator: np.random.Generator) -> None:
    """Look for failures that no known way explains, and search from the nearest of them."""
    size = len(limit.names)
    z = np.concatenate([w * generator.standard_normal((count, size)) for w, count in SCOUTS])
    failures = z[limit(z, False) < 0.0]
    order = np.argsort((failures**2).sum(axis=1))
    failures = failures[order]
    for _ in range(SEARCHES):
        failures = failures[~explained(failures, modes)]
        if not failures.shape[0]:
            return
        found = find_design_point(limit, failures[0])
        failures = failures[1:]
        if found is not None and _is_new(found, modes):
            modes.append(found)


def _is_new(point: DesignPoint, modes: Sequence[DesignPoint]) -> bool:
    return all(float(np.linalg.norm(point.z - m.z)) > APART for m in modes)
