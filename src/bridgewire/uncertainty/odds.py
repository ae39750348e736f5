"""Probabilities of a whole show by Monte Carlo: igniters, cues, together-cues, the show.

Circuits that depend on one another are drawn together; causes in common (batches, drums, boxes,
ambient) have the same values in all circuits of a draw, so that failures go together as they
would on site. The result depends on seed, draws and sampling only, not on the worker processes.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection

from bridgewire.timeline.outcomes import Assessment
from bridgewire.uncertainty.dependence import plan_groups
from bridgewire.uncertainty.odds_blocks import blocks_of, run_blocks
from bridgewire.uncertainty.odds_figures import ShowOdds
from bridgewire.uncertainty.odds_total import ShowSums
from bridgewire.uncertainty.scatter import make_plan
from bridgewire.uncertainty.streams import Sampling, Streams

DRAWS = 10_000
BLOCK = 65_536
"""Draws times bridges that are worked on at once; bounds the memory."""

Progress = Callable[[int, int], None]


def show_odds(
    assessment: Assessment,
    *,
    draws: int = DRAWS,
    seed: int = 1,
    workers: int = 1,
    sampling: Sampling = "latin",
    block: int = BLOCK,
    only_cues: Collection[int] | None = None,
    progress: Progress | None = None,
) -> ShowOdds:
    """Monte Carlo over a whole show, or some of its cues.

    Parameters
    ----------
    assessment : Assessment
        Of the show: its schedule, circuits and supplies are used.
    draws : int
        At least 1.
    seed : int
        The same seed gives the same result for any number of workers.
    workers : int
        Processes, at least 1. With more than one, the calling script must be importable
        (``if __name__ == "__main__"``), as new processes are spawned.
    sampling : str
        See `bridgewire.uncertainty.streams.Streams`.
    block : int
        Draws times bridges worked on at once. Counts do not depend on it; the last digits of
        means may.
    only_cues : collection of int, optional
        Cues (by index) to which all figures are confined; all where absent.
    progress : callable, optional
        Called with blocks done and blocks in all.

    Returns
    -------
    ShowOdds

    Raises
    ------
    ValueError
        If `draws`, `workers` or `block` is below 1.
    """
    if min(draws, workers, block) < 1:
        raise ValueError("draws, workers and block must be at least 1")
    # Circuits of one strip together, as they share latents.
    found = sorted(plan_groups(assessment), key=lambda g: g[0].component.ways[0].key)
    every = [make_plan(assessment, g, only_cues) for g in found]
    plans = [plan for plan in every if plan.cues]
    streams = Streams(seed, draws, sampling)
    tasks = list(blocks_of(plans, draws, block))
    total = ShowSums(plans, draws)
    for done, (task, result) in enumerate(
        zip(tasks, run_blocks(plans, streams, tasks, workers), strict=True), start=1
    ):
        total.add(task, result)
        if progress is not None:
            progress(done, len(tasks))
    cues = [c for c in assessment.cues if only_cues is None or c.cue in only_cues]
    return total.odds(assessment, cues, streams)


def default_workers() -> int:
    """Processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
