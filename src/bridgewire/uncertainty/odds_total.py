"""From the sums over all draws to the figures of a show."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from bridgewire.physics.laws import ModelFault
from bridgewire.physics.network import Ints
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict
from bridgewire.uncertainty.intervals import from_count
from bridgewire.uncertainty.odds_blocks import Block, BlockSums, Moments
from bridgewire.uncertainty.odds_figures import CueOdds, IgniterOdds, Mean, Share, ShowOdds
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.quantities import Group, group_for
from bridgewire.uncertainty.scatter import values_without_tolerance
from bridgewire.uncertainty.streams import Streams


class ShowSums:
    """Sums of all blocks of a show, and the figures that follow."""

    def __init__(self, plans: Sequence[Plan], draws: int) -> None:
        self.plans = plans
        self.failed = np.zeros(draws, dtype=bool)
        self.unlit = np.zeros(draws, dtype=np.intp)
        self.sums: dict[tuple[int, int], list[Moments]] = defaultdict(list)
        self.faults: dict[ModelFault, None] = {}
        self.draws = draws

    def add(self, task: Block, result: BlockSums) -> None:
        """Take a block in; those of one plan in order of their draws."""
        here = slice(task.start, task.stop)
        self.failed[here] |= result.cue_failed
        self.unlit[here] += result.unlit
        self.faults.update(dict.fromkeys(result.faults))
        for n, moments in enumerate(result.moments):
            key = task.plan, n
            self.sums[key] = [self.sums[key][0].plus(moments)] if self.sums[key] else [moments]

    def odds(
        self, assessment: Assessment, asked: Sequence[CueOutcome], streams: Streams
    ) -> ShowOdds:
        """The figures, once every block is in; `asked` are the cues they are confined to."""
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
        plan: Plan, sums: Moments, column: int, igniter: int
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
