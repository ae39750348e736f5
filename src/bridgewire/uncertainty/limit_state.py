"""When one igniter fails under one cue, as a function of standard normal latents."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from attrs import define, field

from bridgewire.errors import BridgewireError
from bridgewire.physics.network import Floats
from bridgewire.timeline.outcomes import Assessment
from bridgewire.uncertainty.dependence import needed_for
from bridgewire.uncertainty.draws import run_plan
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.quantities import Latent
from bridgewire.uncertainty.scatter import make_plan

FINE = 1e-6
"""Error of x allowed in one step, so that differences of the limit state mean something."""
COARSE = 1e-4
"""The same where only the sign counts."""
BATCH = 65_536
"""Draws times bridges that are worked on at once."""
_LEAST = 1e-6
"""Least margin whose logarithm is taken."""


class OddsError(BridgewireError):
    """A probability cannot be computed; the text says why."""


class LimitState(Protocol):
    """A function that is above 0 where an igniter lights, below where it fails."""

    @property
    def names(self) -> tuple[str, ...]:
        """Of the latents, in the order of z."""

    def __call__(self, z: Floats, fine: bool) -> Floats:
        """Value for each row of z, shape (points, latents)."""


@define(eq=False)
class IgniterLimit:
    """The limit state of one igniter entry under one cue: the logarithm of its margin.

    Attributes
    ----------
    plan : Plan
        What has a part in the cue.
    cue, igniter : int
        Indexes in the show.
    scale : array, shape (latents,)
        Factor on each latent: 1 for its scatter as it is, 0 for a known value.
    calls : int
        Points evaluated so far.
    """

    plan: Plan
    cue: int
    igniter: int
    scale: Floats = field()
    calls: int = 0

    @scale.default
    def _as_it_is(self) -> Floats:
        return np.ones(len(self.plan.quantities.latents))

    @property
    def latents(self) -> tuple[Latent, ...]:
        """Causes of scatter, in the order of z."""
        return self.plan.quantities.latents

    @property
    def names(self) -> tuple[str, ...]:
        """Keys of the latents."""
        return tuple(latent.key for latent in self.latents)

    def __call__(self, z: Floats, fine: bool) -> Floats:
        """Logarithm of the margin at each row of z; large where the igniter is lit before.

        Parameters
        ----------
        z : array, shape (points, latents)
        fine : bool
            Whether differences of the value matter, not only its sign.
        """
        widest = max(f.bridges.size for f in self.plan.firings)
        size = max(BATCH // widest, 1)
        parts = [self._some(z[n : n + size], fine) for n in range(0, z.shape[0], size)]
        self.calls += z.shape[0]
        return np.concatenate(parts)

    def _some(self, z: Floats, fine: bool) -> Floats:
        drawn = run_plan(self.plan, (z * self.scale).T, FINE if fine else COARSE)
        cue = drawn.cues[0]
        column = cue.plan.igniters.index(self.igniter)
        margin, lit = cue.margin[:, column], cue.lit[:, column]
        with np.errstate(invalid="ignore"):
            g = np.log(np.maximum(margin, _LEAST))
        # Lit before the cue: as safe as twice the current.
        g = np.where(np.isnan(margin), np.log(2.0), g)
        # The sign is that of what happens, whatever rounding says about the margin.
        return np.where(lit, np.maximum(g, 1e-15), np.minimum(g, -1e-15))


def igniter_limit(assessment: Assessment, cue: int, igniter: int) -> IgniterLimit:
    """The limit state of one igniter entry under one cue.

    Parameters
    ----------
    assessment : Assessment
    cue, igniter : int
        Indexes in the show.

    Raises
    ------
    OddsError
        If the cue cannot be computed or does not reach the igniter.
    """
    results = needed_for(assessment, cue)
    if not results:
        raise OddsError(f"cue {assessment.cues[cue].id!r} cannot be computed or fires nothing")
    plan = make_plan(assessment, results, {cue})
    if not plan.cues or igniter not in plan.cues[0].igniters:
        name = assessment.layout.names[igniter]
        raise OddsError(f"cue {assessment.cues[cue].id!r} does not reach igniter {name!r}")
    return IgniterLimit(plan, cue, igniter)
