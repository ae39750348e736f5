"""Importance sampling: samples of a mixture about the ways to fail, and what they say.

Searching for ways to fail and deciding when to stop is the matter of `bridgewire.uncertainty.rare`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from bridgewire.physics.network import Floats
from bridgewire.uncertainty.design_point import FARTHEST, DesignPoint
from bridgewire.uncertainty.intervals import from_count
from bridgewire.uncertainty.limit_state import IgniterLimit, LimitState
from bridgewire.uncertainty.normal import below

NOMINAL_SHARE = 0.1
"""Part of the samples that is drawn about the typical values, as everything is typically drawn."""
WIDE_SHARE = 0.1
"""Part that is drawn about the typical values with `WIDE` times the scatter: looks for further
ways to fail."""
WIDE = 2.0
"""Scatter of these, over the plain scatter."""
ROUND = 1000
"""Samples in each round."""
HOPELESS = 4000
"""So many samples are drawn where failure is found to be negligible."""
EXPLAINED = 0.8
"""A failure is one of a known way to fail if it is beyond this part of its distance, along it."""
UNEXPLAINED = 0.1
"""Part of the figure from such failures that is told."""
UNLIKELY = 1e-3
"""Ways to fail so much less likely than the likeliest get no samples of their own."""
NEGLIGIBLE = 1e-15
"""Probabilities below this are not worked out closely: no data support such a figure."""
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


def explained(z: Floats, modes: Sequence[DesignPoint]) -> NDArray[np.bool_]:
    """Which failures lie beyond a known way to fail."""
    out = np.zeros(z.shape[0], dtype=bool)
    for mode in modes:
        out |= z @ mode.alpha >= EXPLAINED * mode.beta
    return out


class ImportanceSampling:
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
        near = self.modes[0] if self.modes else None
        causes: tuple[Cause, ...] = ()
        if near is not None:
            rows = zip(self.limit.names, near.z.tolist(), (near.alpha**2).tolist(), strict=True)
            causes = tuple(
                sorted((Cause(n, z, a) for n, z, a in rows if a > 1e-4), key=lambda c: -c.alpha2)
            )
        evaluations = self.limit.calls if isinstance(self.limit, IgniterLimit) else self.drawn
        return RareFailure(
            self.probability,
            self.relative_error,
            self.drawn,
            evaluations,
            near.beta if near is not None else math.nan,
            below(-near.beta) if near is not None else math.nan,
            len(self.modes),
            causes,
            tuple(self._doubts(wanted, near)),
            round(self.sum) if self.plain else None,
        )

    def _doubts(self, wanted: float, near: DesignPoint | None) -> Iterator[str]:
        """What speaks against the estimate; `near` is the nearest design point."""
        probability, error = self.probability, self.relative_error
        if near is None and not self.plain:
            yield f"no way to fail was found within {FARTHEST:g} deviations"
        if self.sum <= 0.0:
            yield f"none of {self.drawn} samples failed"
        elif error > wanted and probability >= NEGLIGIBLE:
            yield f"the relative error is still {error:.2g} after {self.drawn} samples"
        if probability >= NEGLIGIBLE and not self.plain:
            if self.effective < FEW or self.heaviest > HEAVY * self.sum:
                yield "few samples bring most of the figure: a way to fail may be missed"
            part = self.strange_sum / self.sum
            if part > UNEXPLAINED:
                yield (
                    f"{100 * part:.0f} % of the figure comes from failures of which no known way "
                    "to fail gives an account: ways to fail are many or curved"
                )
            ratio = 1.0 if near is None else probability / below(-near.beta)
            if not 0.05 < ratio < 20.0:
                yield (
                    f"the figure is {ratio:.2g} times what the nearest design point says: ways to "
                    "fail are many or far from straight"
                )
        if near is not None and not near.converged:
            yield "the search for the design point had not settled: its causes are rough"
