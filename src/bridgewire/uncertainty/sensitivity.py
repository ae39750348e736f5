"""Which uncertainty costs most, and what is worth measuring."""

from __future__ import annotations

from collections import defaultdict
from typing import Literal

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from bridgewire.physics.network import Floats
from bridgewire.timeline.outcomes import Assessment
from bridgewire.uncertainty.design_point import DesignPoint, find_design_point
from bridgewire.uncertainty.importance import RareFailure
from bridgewire.uncertainty.limit_state import IgniterLimit, igniter_limit
from bridgewire.uncertainty.normal import below
from bridgewire.uncertainty.quantities import Group, group_for
from bridgewire.uncertainty.rare import igniter_failure
from bridgewire.uncertainty.streams import Streams

LEAST_SHARE = 0.01
"""Groups that matter less are not asked about."""
ASKED = 5
"""Most groups that are asked about."""
COMMON = 0.01
"""Probability of failure from which plain samples say most."""
SAMPLES = 5000

MEASURE: dict[Group, str] = {
    "cable": "measure the cable itself: a known current through a known length, and the voltage "
    "along it",
    "cable length": "measure the lengths of the runs as laid",
    "contacts": "measure the contacts of the path, mated, or clean and replace them",
    "strips and splitters": "measure strips and splitters from inlet to terminal",
    "switch and diode": "measure the resistance of the box's outputs",
    "supply voltage": "read the supply on the meter just before the show",
    "supply resistance": "measure the box's voltage under a known load",
    "supply limit": "measure the box's current into a known low resistance",
    "capacitor": "measure the capacitor and its recharge time",
    "igniter itself": "test samples of the class; use a class of less scatter, or a second igniter "
    "on a way of its own",
    "other igniters": "test when igniters of the class part; fire fewer on one way",
    "igniter batch": "fire a sample of this batch on the bench",
    "ambient": "state a narrower temperature range for the time of the show",
}
"""What narrows each group."""


@frozen
class Importance:
    """What one group of causes does to an igniter's failure.

    Attributes
    ----------
    group : str
    share : float
        Its part of what leads to failure, 0 to 1.
    halved, known : float
        Probability of failure if the group's scatter were half as wide, and if its values were
        known to be the typical ones.
    """

    group: Group
    share: float
    halved: float
    known: float

    @property
    def advice(self) -> str:
        """What to measure to be surer."""
        return MEASURE[self.group]


@frozen
class CauseRanking:
    """Causes of one igniter's failure under one cue.

    Attributes
    ----------
    cue, igniter : int
        Indexes in the show.
    id : str
        Of the igniter.
    beta : float
        Distance of the most likely way to fail from typical values, in standard deviations;
        negative where typical values fail.
    first_order : float
        The probability that goes with it.
    groups : tuple of Importance
        Most important first.
    basis : str
        ``first order``: shares and probabilities are those of the nearest design point.
        ``sampled``: those of plain samples; used where failure is common.
    failure : RareFailure
        The sampled probability.
    """

    cue: int
    igniter: int
    id: str
    beta: float
    first_order: float
    groups: tuple[Importance, ...]
    basis: Literal["first order", "sampled"]
    failure: RareFailure


def shares_by_group(limit: IgniterLimit, point: DesignPoint) -> dict[Group, float]:
    """Squared direction cosines summed up by group, largest first."""
    groups: dict[Group, float] = defaultdict(float)
    for latent, a2 in zip(limit.latents, (point.alpha**2).tolist(), strict=True):
        groups[group_for(latent, limit.igniter)] += a2
    return dict(sorted(groups.items(), key=lambda item: -item[1]))


def rank_causes(
    assessment: Assessment, cue: int, igniter: int, *, seed: int = 1, most: int = 20_000
) -> CauseRanking:
    """Rank the causes of an igniter's failure under a cue.

    Parameters
    ----------
    assessment : Assessment
    cue, igniter : int
        Indexes in the show.
    seed : int
    most : int
        Most samples.

    Returns
    -------
    CauseRanking
        Without groups where no way to fail was found.

    Raises
    ------
    bridgewire.uncertainty.limit_state.OddsError
        If the cue cannot be computed or does not reach the igniter.

    Notes
    -----
    Where failure is rare, shares are squared direction cosines at the nearest design point, and
    the effect of knowing a group better comes from a new search with that group's scatter halved
    or taken away. Where it is common (above `COMMON`), the shares come from where the failing
    samples lie, and the effects from the same samples with the group's scatter halved or taken
    away.
    """
    limit = igniter_limit(assessment, cue, igniter)
    failure = igniter_failure(assessment, cue, igniter, seed=seed, most=most)
    ranking = CauseRanking(
        cue,
        igniter,
        assessment.layout.names[igniter],
        failure.beta,
        failure.first_order,
        (),
        "first order",
        failure,
    )
    if failure.probability >= COMMON:
        z = Streams(seed, 1).generator(f"causes/{cue}/{igniter}")
        sampled = _sampled(limit, z.standard_normal((SAMPLES, len(limit.latents))))
        return evolve(ranking, groups=sampled, basis="sampled")
    place = {name: n for n, name in enumerate(limit.names)}
    start = np.zeros(len(limit.latents))
    for cause in failure.causes:
        start[place[cause.latent]] = cause.z
    point = find_design_point(limit, start)
    if point is None or point.beta <= 0.0:
        return ranking
    groups: tuple[Importance, ...] = ()
    for _ in range(3):
        groups, nearer = _first_order(limit, point)
        if nearer is None:
            break
        # Less scatter cannot bring failure nearer: the search had missed a way to fail.
        point = find_design_point(limit, nearer) or point
    return evolve(ranking, groups=groups, beta=point.beta, first_order=below(-point.beta))


def _ranked(shares: dict[Group, float]) -> list[tuple[Group, float]]:
    largest = sorted(shares.items(), key=lambda item: -item[1])[:ASKED]
    return [(g, s) for g, s in largest if s >= LEAST_SHARE]


def _mine(limit: IgniterLimit, group: Group) -> NDArray[np.bool_]:
    return np.array([group_for(latent, limit.igniter) == group for latent in limit.latents])


def _sampled(limit: IgniterLimit, z: Floats) -> tuple[Importance, ...]:
    """Importance of groups from plain samples."""
    fails = limit(z, False) < 0.0
    # Whichever happens less often says more about what tips the balance.
    odd = fails if fails.mean() <= 0.5 else ~fails
    if not odd.any():
        return ()
    # The mean of n values is off by 1/n of a variance by chance.
    drift = np.maximum(z[odd].mean(axis=0) ** 2 - 1.0 / odd.sum(), 0.0)
    total = float(drift.sum())
    shares: dict[Group, float] = defaultdict(float)
    for latent, value in zip(limit.latents, drift.tolist(), strict=True):
        shares[group_for(latent, limit.igniter)] += value / total if total > 0.0 else 0.0
    out: list[Importance] = []
    for group, share in _ranked(shares):
        mine = _mine(limit, group)
        halved, known = (
            float((limit(np.where(mine, factor * z, z), False) < 0.0).mean())
            for factor in (0.5, 0.0)
        )
        out.append(Importance(group, share, halved, known))
    return tuple(out)


def _first_order(
    limit: IgniterLimit, point: DesignPoint
) -> tuple[tuple[Importance, ...], Floats | None]:
    """Importance of groups at a design point, and a nearer point that fails, if one is met."""
    out: list[Importance] = []
    nearer: Floats | None = None
    nearest = point.beta * (1.0 - 1e-3)
    for group, share in _ranked(shares_by_group(limit, point)):
        mine = _mine(limit, group)
        chances: list[float] = []
        for factor in (0.5, 0.0):
            scale = np.where(mine, factor, 1.0)
            found = _narrower(limit, scale, point)
            chances.append(0.0 if found is None else below(-found.beta))
            if found is not None:
                back = found.z * scale
                distance = float(np.linalg.norm(back))
                if distance < nearest:
                    nearer, nearest = back, distance
        out.append(Importance(group, share, *chances))
    return tuple(out), nearer


def _narrower(limit: IgniterLimit, scale: Floats, point: DesignPoint) -> DesignPoint | None:
    """Nearest design point where some scatter is smaller."""
    narrower = IgniterLimit(limit.plan, limit.cue, limit.igniter, limit.scale * scale)
    starts = [np.zeros(scale.size)]
    if float(np.linalg.norm(point.z * scale)) > 1e-6:
        starts.append(point.z * scale)
    found = [find_design_point(narrower, start) for start in starts]
    return min((f for f in found if f is not None), key=lambda f: f.beta, default=None)
