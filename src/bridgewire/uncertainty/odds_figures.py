"""What the draws of a show say: the figures of igniters, cues and the whole show."""

from __future__ import annotations

import math

from attrs import frozen

from bridgewire.physics.laws import ModelFault
from bridgewire.uncertainty.intervals import Estimate
from bridgewire.uncertainty.quantities import Group
from bridgewire.uncertainty.streams import Sampling


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
