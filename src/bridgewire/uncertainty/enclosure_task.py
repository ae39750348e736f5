"""One firing to be enclosed, the bounds it starts from, and what comes out."""

from __future__ import annotations

import numpy as np
from attrs import define

from bridgewire.circuit.supplies import SupplyData
from bridgewire.model.band import Band
from bridgewire.physics.network import Bools, Floats
from bridgewire.timeline.charge import Volts
from bridgewire.timeline.corners import Component
from bridgewire.timeline.results import FiringResult


@define(eq=False)
class Bounds:
    """Bounds of a component's igniters between firings: arrays over its targets, [L, U] first.

    Attributes
    ----------
    x : array, shape (2, targets)
    lit, parted : bool arrays, shape (2, targets)
        For L: certainly. For U: possibly.
    time_s : float
        Time of these bounds on the show's clock.
    """

    component: Component
    x: Floats
    lit: Bools
    parted: Bools
    first_s: Floats
    """Start of the first pulse on each target's way; ``inf`` before it."""
    time_s: float

    @classmethod
    def cold(cls, component: Component, start_s: float) -> Bounds:
        """Nothing has fired before a time."""
        shape = (2, len(component.targets))
        none = np.zeros(shape, dtype=bool)
        never = np.full(shape[1], np.inf)
        return cls(component, np.zeros(shape), none, none.copy(), never, start_s)

    def cool_until(self, time_s: float) -> None:
        """Let the bounds cool up to a time."""
        first = list(self.component.targets.values())
        bands = [self.component.data[b].heating.tau_s for b in first]
        tau_s = np.array([[b.min for b in bands], [b.max for b in bands]])
        self.x = self.x * np.exp(-max(time_s - self.time_s, 0.0) / tau_s)
        self.time_s = time_s


@define(eq=False)
class Enclosed:
    """One firing enclosed. Arrays run over [L, U] and the component's targets."""

    light_s: Floats
    """From the start of the firing; ``nan`` where the bound is not reached in it. L: latest."""
    light_A: Floats
    lit_before: Bools
    end_V: tuple[float, float]
    """Lowest and highest source voltage at the end."""


@define(eq=False)
class Task:
    """One firing to be enclosed."""

    result: FiringResult
    bounds: Bounds
    supply: SupplyData
    drop_V: Band
    emf_V: Volts
