"""What each uncertainty alone does to an igniter's margin: the figures behind a tornado plot."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from attrs import frozen

from bridgewire.errors import BridgewireError
from bridgewire.physics.network import Floats
from bridgewire.timeline.outcomes import Assessment, CueOutcome, IgniterOutcome
from bridgewire.uncertainty.limit_state import IgniterLimit, igniter_limit
from bridgewire.uncertainty.quantities import Latent, group_for
from bridgewire.uncertainty.shares import band_sigma

STEP = 0.25
"""Standard deviations at which the direction is found in which the margin changes."""
LEAST = 1e-6
"""Changes of the log margin that are no change."""


class NoMarginError(BridgewireError):
    """There is no margin to look at; the text says why."""


@frozen
class Bar:
    """One uncertainty.

    Attributes
    ----------
    name : str
    worse, better : float
        Least and greatest margin at the two ends of its scatter and at typical values, everything
        else at typical values.
    causes : int
        How many independent causes it is made of.
    """

    name: str
    worse: float
    better: float
    causes: int

    @property
    def swing(self) -> float:
        """Change of the logarithm of the margin from end to end, by which bars are sorted."""
        return float(np.log(self.better / self.worse))


@frozen
class Tornado:
    """What uncertainties do to the margin of one igniter under one cue.

    Attributes
    ----------
    title, cue, igniter : str
    sigmas : float
        How far each uncertainty is moved, in standard deviations.
    margin : float
        At typical values.
    bars : tuple of Bar
        Largest first.
    """

    title: str
    cue: str
    igniter: str
    sigmas: float
    margin: float
    bars: tuple[Bar, ...]


def tornado(assessment: Assessment, cue: int) -> Tornado:
    """Move each uncertainty of a cue to the ends of its scatter, one after the other.

    Parameters
    ----------
    assessment : Assessment
    cue : int
        Index in the show.

    Returns
    -------
    Tornado
        Of the igniter with the least margin among those that the cue means to light.

    Raises
    ------
    NoMarginError
        If the cue has no igniter whose margin is known.
    bridgewire.uncertainty.limit_state.OddsError
        If the cue cannot be computed.

    Notes
    -----
    An uncertainty of many causes (each contact of a path, say) is moved as a whole along the
    direction in which the margin changes fastest about typical values, as far as the ends of a
    single band are away: to both sides by as many standard deviations as the show reads a band's
    ends as. The margin there is computed anew, not extrapolated.
    """
    outcome = assessment.cues[cue]
    weakest = _weakest(outcome)
    limit = igniter_limit(assessment, cue, weakest.igniter)
    sigmas = band_sigma(assessment.layout)
    size = len(limit.latents)
    slope = _slope(limit, size)
    members: dict[str, list[int]] = defaultdict(list)
    for n, latent in enumerate(limit.latents):
        if slope[n] != 0.0:
            members[cause_name(latent, weakest.igniter)].append(n)
    points = [np.zeros(size)]
    for places in members.values():
        z = np.zeros(size)
        z[places] = slope[places] / np.linalg.norm(slope[places]) * sigmas
        points += [-z, z]
    margin, *margins = np.exp(limit(np.array(points), True)).tolist()
    bars = [
        Bar(name, min(margin, *ends), max(margin, *ends), len(places))
        for (name, places), ends in zip(
            members.items(), zip(margins[::2], margins[1::2], strict=True), strict=True
        )
    ]
    bars.sort(key=lambda b: -b.swing)
    return Tornado(
        assessment.layout.show.title,
        outcome.id,
        weakest.id,
        sigmas,
        margin,
        tuple(b for b in bars if b.swing > LEAST),
    )


def _weakest(outcome: CueOutcome) -> IgniterOutcome:
    known = [
        (i.margin_typical if i.margin is None else i.margin, i.igniter, i)
        for i in outcome.meant
        if i.margin_typical is not None and not i.lit_before
    ]
    if not known:
        raise NoMarginError(
            f"cue {outcome.id!r} has no igniter whose margin is known: nothing to draw"
        )
    return min(known)[2]


def _slope(limit: IgniterLimit, size: int) -> Floats:
    """Change of the log margin for each standard deviation of each latent, about typical."""
    if size == 0:
        return np.zeros(0)
    steps = np.eye(size) * STEP
    g = limit(np.concatenate([steps, -steps]), True)
    slope: Floats = (g[:size] - g[size:]) / (2.0 * STEP)
    slope[np.abs(slope) < LEAST] = 0.0
    return slope


def cause_name(latent: Latent, igniter: int) -> str:
    """Name of the uncertainty that a latent is a part of, as one igniter sees it.

    >>> cause_name(Latent("batch/bench:match/threshold", "igniter batch"), 0)
    'igniter batch: threshold'
    >>> cause_name(Latent("drum/bench:eight", "cable"), 0)
    'cable drum'
    """
    group = group_for(latent, igniter)
    if group in ("igniter itself", "igniter batch"):
        return f"{group}: {latent.key.rsplit('/', 1)[-1]}"
    if latent.key.startswith("drum/"):
        return "cable drum"
    if latent.key.startswith(("contact-kind/", "strip-kind/", "splitter-kind/")):
        return f"{group}, the kind"
    return "cable, run by run" if group == "cable" else group
