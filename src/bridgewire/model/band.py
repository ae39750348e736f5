"""A value that is a number, a number with a tolerance, or a min/typical/max."""

from __future__ import annotations

import math
from collections.abc import Callable

from attrs import field, frozen


@frozen
class Band:
    """A quantity with its tolerance: smallest, typical and largest value, in the key's unit.

    ``stated`` is false for a bare number, which tells nothing about its tolerance.

    Raises
    ------
    ValueError
        If a value is not finite or ``min <= typical <= max`` does not hold.

    Examples
    --------
    >>> Band.with_tolerance(20.0, 0.5)
    Band(min=19.5, typical=20.0, max=20.5)
    """

    min: float
    typical: float
    max: float
    stated: bool = field(default=True, repr=False, eq=False)

    def __attrs_post_init__(self) -> None:
        if not all(math.isfinite(v) for v in (self.min, self.typical, self.max)):
            raise ValueError("min, typical and max must be finite numbers")
        if not self.min <= self.typical <= self.max:
            raise ValueError(
                f"min <= typical <= max does not hold: {self.min}, {self.typical}, {self.max}"
            )

    @classmethod
    def exact(cls, value: float) -> Band:
        """Make a band from a bare number (no tolerance stated)."""
        return cls(value, value, value, stated=False)

    @classmethod
    def with_tolerance(cls, value: float, tolerance: float) -> Band:
        """Make a band ``value ± tolerance`` (same unit)."""
        return cls(value - abs(tolerance), value, value + abs(tolerance))

    @classmethod
    def with_percent(cls, value: float, percent: float) -> Band:
        """Make a band ``value ± percent %``."""
        return cls.with_tolerance(value, abs(value) * percent / 100.0)

    def map(self, function: Callable[[float], float]) -> Band:
        """Apply a monotone function; a falling one swaps the ends."""
        a, b = function(self.min), function(self.max)
        return Band(min(a, b), function(self.typical), max(a, b), stated=self.stated)

    def scaled(self, factor: float) -> Band:
        """Multiply by a number."""
        return self.map(lambda v: v * factor)

    def plus(self, other: Band) -> Band:
        """Add another band, ends to ends."""
        return Band(
            self.min + other.min,
            self.typical + other.typical,
            self.max + other.max,
            stated=self.stated and other.stated,
        )
