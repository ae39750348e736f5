"""Probabilities of a whole show by Monte Carlo: igniters, cues, together-cues, the show.

Circuits that depend on one another are drawn together; causes in common (batches, drums, boxes,
ambient) have the same values in all circuits of a draw, so that failures go together as they
would on site. The result depends on seed, draws and sampling only, not on the worker processes.
"""

from __future__ import annotations

import math
import os
import pickle
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import numpy as np
from attrs import frozen

from bridgewire.physics.laws import ModelFault
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict
from bridgewire.uncertainty.draws import CueDraws, run_plan
from bridgewire.uncertainty.intervals import Estimate, from_count
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.quantities import Group, Latent
from bridgewire.uncertainty.scatter import make_plan, plan_groups, values_without_tolerance
from bridgewire.uncertainty.streams import Sampling, Streams

DRAWS = 10_000
BLOCK = 65_536
"""Draws times bridges that are worked on at once; bounds the memory."""
_LEAST_LOG = -20.0
"""Logarithm that stands for a margin of 0."""


@frozen
class Share:
    """Part of the variance of the log margin that goes with a group of causes."""

    group: Group
    share: float


@frozen
class IgniterOdds:
    """One igniter entry under one cue that means to light it."""

    igniter: int
    id: str
    cue: int
    lights: Estimate
    """Probability that it lights by the end of the cue's last pulse (or was lit before)."""
    failures: int
    """Draws in which it does not."""
    log_margin: float
    """Mean of the logarithm of the margin; ``nan`` where it is always lit before."""
    log_margin_sd: float
    shares: tuple[Share, ...]
    """Largest first."""

    @property
    def distance(self) -> float:
        """Mean log margin in standard deviations: a rough rank of how near failure is."""
        if math.isnan(self.log_margin):
            return math.inf
        if self.log_margin_sd <= 0.0:
            return math.copysign(math.inf, self.log_margin)
        return self.log_margin / self.log_margin_sd


@frozen
class CueOdds:
    """One cue."""

    cue: int
    id: str
    all_light: Estimate
    """Probability that all igniters that it means and that could be computed light."""
    together: Estimate | None
    """Probability that they all light, within the spread limit; None where there is none."""
    spread_s: float | None
    igniters: tuple[IgniterOdds, ...]


@frozen
class Mean:
    """A mean over draws with its 95 % interval (normal approximation)."""

    value: float
    low: float
    high: float | None
    """None where every draw has the same value, so that nothing bounds it."""


@frozen
class ShowOdds:
    """A whole show."""

    draws: int
    seed: int
    sampling: Sampling
    cues: tuple[CueOdds, ...]
    """In the show's order; those that could be computed."""
    no_unlit: Estimate
    """Probability that no igniter is left unlit by every cue that means it."""
    every_cue: Estimate
    """Probability that each cue lights all it means within its own pulses."""
    unlit: Mean
    """Expected number of igniter entries left unlit."""
    igniters: int
    """Igniter entries judged."""
    never: tuple[str, ...]
    """Igniters that a cue means but no cue can light: they count as failures."""
    unknown: tuple[str, ...]
    """Igniters that could not be computed: in none of the figures."""
    taken_as_exact: tuple[str, ...]
    """Groups of values without a stated tolerance: taken as exact."""
    faults: tuple[ModelFault, ...] = ()


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
    tasks = list(_tasks(plans, draws, block))
    total = _Total(plans, draws)
    for done, (task, result) in enumerate(
        zip(tasks, _results(plans, streams, tasks, workers), strict=True), start=1
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


@frozen
class _Task:
    plan: int
    start: int
    stop: int


@frozen(eq=False)
class _Moments:
    """Sums over draws of the log margin y of each entry of a cue, and of y times each latent."""

    count: Ints
    y: Floats
    yy: Floats
    yz: Floats
    failures: Ints
    all_lit: int
    together: int


@frozen(eq=False)
class _Result:
    moments: tuple[_Moments, ...]
    """By cue of the plan."""
    cue_failed: Bools
    """Shape (draws,)."""
    unlit: Ints
    """Igniter entries left unlit in each draw."""
    faults: tuple[ModelFault, ...]


def _tasks(plans: Sequence[Plan], draws: int, block: int) -> Iterator[_Task]:
    for n, plan in enumerate(plans):
        widest = max(f.bridges.size for f in plan.firings)
        size = max(block // widest, 1)
        for start in range(0, draws, size):
            yield _Task(n, start, min(start + size, draws))


def _results(
    plans: Sequence[Plan], streams: Streams, tasks: Sequence[_Task], workers: int
) -> Iterator[_Result]:
    """Results in the order of the tasks."""
    if workers == 1 or len(tasks) == 1:
        for task in tasks:
            yield _run(plans[task.plan], streams, task)
        return
    # A plugin's model may be something that cannot be sent to another process.
    sendable = {n for n, plan in enumerate(plans) if not _has_model(plan) or _pickles(plan)}
    sent = [plan if n in sendable else None for n, plan in enumerate(plans)]
    with ProcessPoolExecutor(
        max_workers=workers,
        mp_context=get_context("spawn"),
        initializer=_set_up,
        initargs=(pickle.dumps((sent, streams)),),
    ) as pool:
        away = [t for t in tasks if t.plan in sendable]
        size = max(1, min(16, len(away) // (4 * workers)))
        found = pool.map(_run_here, away, chunksize=size)
        for task in tasks:
            if task.plan in sendable:
                yield next(found)
            else:
                yield _run(plans[task.plan], streams, task)


def _has_model(plan: Plan) -> bool:
    return any(f.supply.model is not None for f in plan.firings) or any(
        b.model is not None for c in plan.components for b in c.bridges
    )


def _pickles(plan: Plan) -> bool:
    try:
        pickle.dumps(plan)
    except Exception:
        return False
    return True


_HERE: list[tuple[Sequence[Plan], Streams]] = []
"""What a worker process works on."""


def _set_up(data: bytes) -> None:
    _HERE[:] = [pickle.loads(data)]


def _run_here(task: _Task) -> _Result:
    plans, streams = _HERE[0]
    return _run(plans[task.plan], streams, task)


def latent_values(streams: Streams, latents: Sequence[Latent], start: int, stop: int) -> Floats:
    """Values of some latents: shape (latents, draws)."""
    out = np.empty((len(latents), stop - start))
    for n, latent in enumerate(latents):
        out[n] = streams.normals(latent.key, start, stop)
    return out


def _run(plan: Plan, streams: Streams, task: _Task) -> _Result:
    z = latent_values(streams, plan.quantities.latents, task.start, task.stop)
    drawn = run_plan(plan, z)
    failed = np.zeros(task.stop - task.start, dtype=bool)
    lit_by_any: dict[int, Bools] = {}
    for cue in drawn.cues:
        failed |= ~cue.lit.all(axis=1)
        for column, igniter in enumerate(cue.plan.igniters):
            lit = cue.lit[:, column]
            lit_by_any[igniter] = lit_by_any[igniter] | lit if igniter in lit_by_any else lit
    unlit = np.zeros(failed.size, dtype=np.intp)
    for lit in lit_by_any.values():
        unlit += ~lit
    return _Result(
        tuple(_moments(cue, z) for cue in drawn.cues), failed, unlit, tuple(drawn.faults.faults)
    )


def _moments(cue: CueDraws, z: Floats) -> _Moments:
    known = ~np.isnan(cue.margin)
    with np.errstate(divide="ignore", invalid="ignore"):
        y = np.where(known, np.maximum(np.log(cue.margin), _LEAST_LOG), 0.0)
    return _Moments(
        known.sum(axis=0),
        y.sum(axis=0),
        (y * y).sum(axis=0),
        z @ y,
        (~cue.lit).sum(axis=0),
        int(cue.lit.all(axis=1).sum()),
        0 if cue.together is None else int(cue.together.sum()),
    )


class _Total:
    """Sums of all results."""

    def __init__(self, plans: Sequence[Plan], draws: int) -> None:
        self.plans = plans
        self.failed = np.zeros(draws, dtype=bool)
        self.unlit = np.zeros(draws, dtype=np.intp)
        self.sums: dict[tuple[int, int], list[_Moments]] = defaultdict(list)
        self.faults: dict[ModelFault, None] = {}
        self.draws = draws

    def add(self, task: _Task, result: _Result) -> None:
        here = slice(task.start, task.stop)
        self.failed[here] |= result.cue_failed
        self.unlit[here] += result.unlit
        self.faults.update(dict.fromkeys(result.faults))
        for n, moments in enumerate(result.moments):
            key = task.plan, n
            self.sums[key] = [_plus(self.sums[key][0], moments)] if self.sums[key] else [moments]

    def odds(
        self, assessment: Assessment, asked: Sequence[CueOutcome], streams: Streams
    ) -> ShowOdds:
        layout = assessment.layout
        draws = self.draws
        cues = [
            self._cue(assessment, n, m)
            for n, plan in enumerate(self.plans)
            for m in range(len(plan.cues))
        ]
        cues.sort(key=lambda c: c.cue)
        unknown, never = not_drawn(assessment, asked)
        judged = {i.igniter for c in cues for i in c.igniters}
        never -= judged | unknown
        unlit = self.unlit + len(never)
        dead_cue = _cue_cannot_succeed(assessment, asked)
        good = 0 if never else int((self.unlit == 0).sum())
        return ShowOdds(
            draws,
            streams.seed,
            streams.sampling,
            tuple(cues),
            from_count(good, draws),
            from_count(0 if dead_cue else int((~self.failed).sum()), draws),
            _mean(unlit),
            len(judged | never),
            tuple(layout.names[i] for i in sorted(never)),
            tuple(layout.names[i] for i in sorted(unknown)),
            values_without_tolerance(assessment),
            tuple(self.faults),
        )

    def _cue(self, assessment: Assessment, n: int, m: int) -> CueOdds:
        plan = self.plans[n]
        cue, sums = plan.cues[m], self.sums[n, m][0]
        layout = assessment.layout
        igniters: list[IgniterOdds] = []
        for column, igniter in enumerate(cue.igniters):
            failures = int(sums.failures[column])
            mean, sd, shares = self._spread(plan, sums, column, igniter)
            igniters.append(
                IgniterOdds(
                    igniter,
                    layout.names[igniter],
                    cue.cue,
                    from_count(self.draws - failures, self.draws),
                    failures,
                    mean,
                    sd,
                    shares,
                )
            )
        together = None
        if cue.spread_s is not None:
            together = from_count(sums.together, self.draws)
        return CueOdds(
            cue.cue,
            layout.cues[cue.cue].cue.id,
            from_count(sums.all_lit, self.draws),
            together,
            cue.spread_s,
            tuple(igniters),
        )

    @staticmethod
    def _spread(
        plan: Plan, sums: _Moments, column: int, igniter: int
    ) -> tuple[float, float, tuple[Share, ...]]:
        count = int(sums.count[column])
        if count == 0:
            return math.nan, math.nan, ()
        mean = float(sums.y[column]) / count
        variance = max(float(sums.yy[column]) / count - mean * mean, 0.0)
        if variance <= 1e-18 or count < 10:
            return mean, math.sqrt(variance), ()
        # z has mean 0; what a finite count brings by chance is taken off.
        by_latent = (sums.yz[:, column] / count) ** 2 / variance - 1.0 / count
        groups: dict[Group, float] = defaultdict(float)
        for latent, value in zip(plan.quantities.latents, by_latent.tolist(), strict=True):
            groups[group_for(latent, igniter)] += value
        shares = sorted(
            (Share(g, min(max(v, 0.0), 1.0)) for g, v in groups.items() if v > 1e-3),
            key=lambda s: -s.share,
        )
        return mean, math.sqrt(variance), tuple(shares)


def group_for(latent: Latent, igniter: int) -> Group:
    """Group of a latent as one igniter sees it: its own values apart from those of others."""
    if latent.group == "igniter itself" and latent.owner != igniter:
        return "other igniters"
    return latent.group


def _plus(a: _Moments, b: _Moments) -> _Moments:
    return _Moments(
        a.count + b.count,
        a.y + b.y,
        a.yy + b.yy,
        a.yz + b.yz,
        a.failures + b.failures,
        a.all_lit + b.all_lit,
        a.together + b.together,
    )


def _mean(values: Ints) -> Mean:
    mean = float(values.mean())
    if values.size < 2 or bool((values == values[0]).all()):
        return Mean(mean, mean, None)
    half = 1.96 * float(values.std(ddof=1)) / math.sqrt(values.size)
    return Mean(mean, max(mean - half, 0.0), mean + half)


def not_drawn(assessment: Assessment, cues: Sequence[CueOutcome]) -> tuple[set[int], set[int]]:
    """Igniters that could not be computed, and those that a cue means but does not reach."""
    unknown: set[int] = set()
    never: set[int] = set()
    for cue in cues:
        for igniter in cue.meant:
            if igniter.verdict is Verdict.UNKNOWN:
                unknown.add(igniter.igniter)
            elif not cue.results or not _reached(assessment, cue.cue, igniter.igniter):
                never.add(igniter.igniter)
    return unknown, never


def _reached(assessment: Assessment, cue: int, igniter: int) -> bool:
    layout = assessment.layout
    return layout.way_of(layout.igniters[igniter]) == layout.cues[cue].way


def _cue_cannot_succeed(assessment: Assessment, cues: Sequence[CueOutcome]) -> bool:
    """Whether some cue means an igniter that it does not reach."""
    return any(
        igniter.verdict is not Verdict.UNKNOWN
        and (not cue.results or not _reached(assessment, cue.cue, igniter.igniter))
        for cue in cues
        for igniter in cue.meant
    )
