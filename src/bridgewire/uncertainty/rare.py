"""Small probabilities: importance sampling about the most likely ways to fail."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from bridgewire.physics.network import Floats
from bridgewire.timeline.outcomes import Assessment
from bridgewire.uncertainty.design_point import FARTHEST, DesignPoint, find_design_point
from bridgewire.uncertainty.intervals import from_count
from bridgewire.uncertainty.limit_state import IgniterLimit, LimitState, igniter_limit
from bridgewire.uncertainty.normal import below
from bridgewire.uncertainty.streams import Streams

NOMINAL_SHARE = 0.1
"""Part of the samples that is drawn about the typical values, as everything is typically drawn."""
WIDE_SHARE = 0.1
"""Part that is drawn about the typical values with `WIDE` times the scatter: looks for further
ways to fail."""
WIDE = 2.0
ROUND = 1000
"""Samples in each round."""
MOST = 100_000
HOPELESS = 4000
"""So many samples are drawn where failure is found to be negligible."""
PILOT = 2000
"""Plain samples to begin with."""
COMMON = 20
"""If so many of them fail, plain samples do."""
SCOUTS = ((1.5, 1000), (2.0, 1000), (3.0, 1000))
"""Times the scatter, and how many points, with which further ways to fail are looked for."""
EXPLAINED = 0.8
"""A failure is one of a known way to fail if it is beyond this part of its distance, along it."""
SEARCHES = 10
"""Most searches that begin at failures which no known way explains."""
UNEXPLAINED = 0.1
"""Part of the figure from such failures that is told."""
UNLIKELY = 1e-3
"""Ways to fail so much less likely than the likeliest get no samples of their own."""
ASTRAY = (2.0, 4.0, 6.0, 9.0, 13.0, 20.0)
"""Standard deviations at which single values are tried."""
MOST_ASTRAY = 4
NEGLIGIBLE = 1e-15
"""Probabilities below this are not worked out closely: no data support such a figure."""
APART = 0.5
"""Design points nearer than this are one."""
HEAVY = 0.05
"""A sample that brings more than this part of the estimate tells of a way to fail that was
missed, or of too few samples."""
FEW = 30.0
"""Below so many effective samples the error is not to be trusted."""


@frozen
class Cause:
    """What a latent is at the design point."""

    latent: str
    z: float
    """In standard deviations from its typical value."""
    alpha2: float
    """Its part of the squared distance: importance, 0 to 1."""


@frozen
class RareFailure:
    """Probability that an igniter fails.

    Attributes
    ----------
    probability : float
    relative_error : float
        Standard error over the probability; ``inf`` where nothing failed.
    samples : int
        Points drawn for the estimate.
    evaluations : int
        Points computed in all, search included.
    beta : float
        Distance of the nearest design point in standard deviations; ``nan`` if there is none.
    first_order : float
        What the design point alone says: the probability of a normal value beyond `beta`.
    modes : int
        Ways to fail (design points) that were found.
    causes : tuple of Cause
        At the nearest design point, most important first.
    doubts : tuple of str
        Why the figure may be wrong; empty where nothing speaks against it.
    hits : int or None
        How many samples failed, where they were plain ones.
    """

    probability: float
    relative_error: float
    samples: int
    evaluations: int
    beta: float
    first_order: float
    modes: int
    causes: tuple[Cause, ...]
    doubts: tuple[str, ...]
    hits: int | None = None

    @property
    def interval(self) -> tuple[float, float]:
        """95 % interval: Clopper-Pearson of plain samples, else normal approximation."""
        if self.hits is not None:
            exact = from_count(self.hits, self.samples)
            return exact.low, exact.high
        if not math.isfinite(self.relative_error):
            return 0.0, 1.0
        half = 1.96 * self.relative_error * self.probability
        return max(self.probability - half, 0.0), min(self.probability + half, 1.0)


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
    (so that no weight is above ``1 / NOMINAL_SHARE``) and, wider, about the typical values. Before
    that, points drawn with much more scatter look for failures that no design point explains; such
    failures, here or among the samples, start a new search. The estimate has no bias for any
    design points; a way to fail that no point meets is missed, and cannot be told from nothing.
    """
    pilot = _Sampling(limit, [], generator, plain=True)
    pilot.more(PILOT)
    modes = _search(limit, starts)
    if pilot.sum >= COMMON:
        # Not rare: plain samples do, whatever the ways to fail are.
        pilot.modes = modes
        while pilot.drawn < most and not pilot.good_enough(relative_error):
            pilot.more(min(ROUND, most - pilot.drawn))
        return pilot.result(relative_error)
    _scout(limit, modes, generator)
    run = _Sampling(limit, modes, generator)
    searches = 0
    while run.drawn < most and not run.good_enough(relative_error) and not run.enough:
        run.more(min(ROUND, most - run.drawn))
        strange = run.strangest()
        if strange is not None and searches < SEARCHES:
            searches += 1
            found = find_design_point(limit, strange)
            if found is not None and _is_new(found, run.modes):
                run = _Sampling(limit, [*run.modes, found], generator)
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


def explained(z: Floats, modes: Sequence[DesignPoint]) -> NDArray[np.bool_]:
    """Which failures lie beyond a known way to fail."""
    out = np.zeros(z.shape[0], dtype=bool)
    for mode in modes:
        out |= z @ mode.alpha >= EXPLAINED * mode.beta
    return out


def _is_new(point: DesignPoint, modes: Sequence[DesignPoint]) -> bool:
    return all(float(np.linalg.norm(point.z - m.z)) > APART for m in modes)


class _Sampling:
    """Samples of one mixture and what they say."""

    def __init__(
        self,
        limit: LimitState,
        modes: Sequence[DesignPoint],
        generator: np.random.Generator,
        *,
        plain: bool = False,
    ) -> None:
        self.limit = limit
        self.modes = sorted(modes, key=lambda m: m.beta)
        self.generator = generator
        self.size = len(limit.names)
        self.drawn = 0
        self.sum = self.squares = self.heaviest = 0.0
        self.strange_sum = 0.0
        self.top = (0.0, np.zeros(self.size))
        self.plain = plain
        self.pulling = [
            m for m in self.modes if m.beta**2 < self.modes[0].beta ** 2 - 2.0 * math.log(UNLIKELY)
        ]
        # Weights are kept over this, as their squares would vanish.
        self.unit = math.exp(-0.5 * self.pulling[0].beta ** 2) if self.pulling else 1.0
        self.log_unit = -0.5 * self.pulling[0].beta ** 2 if self.pulling else 0.0

    def _shares(self) -> Floats:
        """Of the nominal scatter, the wide scatter, and each design point."""
        if self.plain:
            return np.array([1.0, 0.0])
        if not self.pulling:
            return np.array([0.5, 0.5])
        nearest = self.pulling[0].beta
        likely = np.array([math.exp(min(nearest**2 - m.beta**2, 0.0) / 2.0) for m in self.pulling])
        likely = np.maximum(likely / likely.sum(), 0.05)
        rest = 1.0 - NOMINAL_SHARE - WIDE_SHARE
        return np.concatenate([[NOMINAL_SHARE, WIDE_SHARE], rest * likely / likely.sum()])

    def more(self, count: int) -> None:
        """Draw and weigh some samples."""
        shares = self._shares()
        which = self.generator.choice(shares.size, size=count, p=shares)
        z = self.generator.standard_normal((count, self.size))
        z[which == 1] *= WIDE
        for n, mode in enumerate(self.pulling):
            z[which == n + 2] += mode.z
        fails = self.limit(z, False) < 0.0
        ratio = np.where(fails, self._log_ratio(z, shares) - self.log_unit, -np.inf)
        weight = np.exp(ratio)
        self.drawn += count
        self.sum += float(weight.sum())
        self.squares += float((weight**2).sum())
        if self.plain:
            return
        self.heaviest = max(self.heaviest, float(weight.max()))
        strange = np.where(explained(z, self.modes), 0.0, weight)
        self.strange_sum += float(strange.sum())
        best = int(np.argmax(strange))
        if strange[best] > self.top[0]:
            self.top = float(strange[best]), z[best].copy()

    def _log_ratio(self, z: Floats, shares: Floats) -> Floats:
        """Logarithm of the density of everything's own scatter over that of the mixture."""
        square = (z**2).sum(axis=1)
        # Each density over that of the nominal scatter.
        parts = [
            np.zeros(z.shape[0]),
            0.5 * square * (1.0 - 1.0 / WIDE**2) - self.size * math.log(WIDE),
            *(z @ m.z - 0.5 * float(m.z @ m.z) for m in self.pulling),
        ]
        with np.errstate(divide="ignore"):
            logs = np.array(parts) + np.log(shares)[:, None]
        peak = logs.max(axis=0)
        # A share of nought has the logarithm -inf, which is what is meant.
        out: Floats = -(peak + np.log(np.exp(logs - peak).sum(axis=0)))
        return out

    @property
    def relative_error(self) -> float:
        """Of the estimate so far."""
        if self.sum <= 0.0 or self.drawn < 2:
            return math.inf
        mean = self.sum / self.drawn
        variance = max(self.squares / self.drawn - mean**2, 0.0)
        return math.sqrt(variance / self.drawn) / mean

    @property
    def probability(self) -> float:
        """The estimate so far."""
        return self.sum / self.drawn * self.unit

    @property
    def enough(self) -> bool:
        """Whether more samples are pointless: nothing fails, or far too seldom to matter."""
        return self.drawn >= HOPELESS and self.probability < NEGLIGIBLE

    @property
    def effective(self) -> float:
        """How many equal weights would say as much."""
        return self.sum**2 / self.squares if self.squares > 0.0 else 0.0

    def good_enough(self, relative_error: float) -> bool:
        """Whether the error is small and there is enough behind it."""
        return (
            self.drawn >= 2 * ROUND
            and self.relative_error <= relative_error
            and self.effective >= FEW
        )

    def strangest(self) -> Floats | None:
        """The weightiest new failure that no known way to fail explains, if there is one."""
        weight, z = self.top
        if weight <= 0.0:
            return None
        self.top = (0.0, z)
        return z

    def result(self, wanted: float) -> RareFailure:
        """The estimate and what speaks against it."""
        told: list[str] = []
        if not self.modes and not self.plain:
            told.append(f"no way to fail was found within {FARTHEST:g} deviations")
        probability = self.probability
        error = self.relative_error
        if self.sum <= 0.0:
            told.append(f"none of {self.drawn} samples failed")
        elif error > wanted and probability >= NEGLIGIBLE:
            told.append(f"the relative error is still {error:.2g} after {self.drawn} samples")
        if probability >= NEGLIGIBLE and not self.plain:
            if self.effective < FEW or self.heaviest > HEAVY * self.sum:
                told.append("few samples bring most of the figure: a way to fail may be missed")
            part = self.strange_sum / self.sum
            if part > UNEXPLAINED:
                told.append(
                    f"{100 * part:.0f} % of the figure comes from failures of which no known way "
                    "to fail gives an account: ways to fail are many or curved"
                )
        near = self.modes[0] if self.modes else None
        if near is not None and probability >= NEGLIGIBLE and not self.plain:
            ratio = probability / below(-near.beta)
            if not 0.05 < ratio < 20.0:
                told.append(
                    f"the figure is {ratio:.2g} times what the nearest design point says: ways to "
                    "fail are many or far from straight"
                )
        causes: tuple[Cause, ...] = ()
        if near is not None:
            rows = zip(self.limit.names, near.z.tolist(), (near.alpha**2).tolist(), strict=True)
            causes = tuple(
                sorted((Cause(n, z, a) for n, z, a in rows if a > 1e-4), key=lambda c: -c.alpha2)
            )
        if near is not None and not near.converged:
            told.append("the search for the design point had not settled: its causes are rough")
        evaluations = self.limit.calls if isinstance(self.limit, IgniterLimit) else self.drawn
        return RareFailure(
            probability,
            error,
            self.drawn,
            evaluations,
            near.beta if near is not None else math.nan,
            below(-near.beta) if near is not None else math.nan,
            len(self.modes),
            causes,
            tuple(told),
            round(self.sum) if self.plain else None,
        )
