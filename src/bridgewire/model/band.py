"""A value that is a number, a number with a tolerance, or a min/typical/max."""

from __future__ import annotations

import math
from collections.abc import Callable

from attrs import field, frozen


@frozen
class Band:
    """A quantity with its tolerance: smallest, typical and largest value.

    Parameters
    ----------
    min, typical, max : float
        In the unit of the key, finite, in this order; two or all of them may be the same.
    stated : bool
        False for a bare number, which tells nothing about its tolerance.

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
        """Make a band from a bare number: no tolerance is stated.

        Parameters
        ----------
        value : float
            All three values of the band.

        Returns
        -------
        Band
            With `stated` false.

        Examples
        --------
        >>> Band.exact(20.0).stated
        False
        """
        return cls(value, value, value, stated=False)

    @classmethod
    def with_tolerance(cls, value: float, tolerance: float) -> Band:
        """Make a band ``value ± tolerance``.

        Parameters
        ----------
        value : float
            The typical value.
        tolerance : float
            In the same unit; its sign does not matter.

        Returns
        -------
        Band
            From ``value - tolerance`` to ``value + tolerance``.

        Examples
        --------
        >>> Band.with_tolerance(20.0, 0.5)
        Band(min=19.5, typical=20.0, max=20.5)
        """
        return cls(value - abs(tolerance), value, value + abs(tolerance))

    @classmethod
    def with_percent(cls, value: float, percent: float) -> Band:
        """Make a band ``value ± percent %``.

        Parameters
        ----------
        value : float
            The typical value.
        percent : float
            Of the value, %; its sign does not matter.

        Returns
        -------
        Band
            The same also where `value` is negative: the smallest first.

        Examples
        --------
        >>> Band.with_percent(50.0, 2.0)
        Band(min=49.0, typical=50.0, max=51.0)
        """
        return cls.with_tolerance(value, abs(value) * percent / 100.0)

    def map(self, function: Callable[[float], float]) -> Band:
        """Apply a function to all three values.

        Parameters
        ----------
        function : callable
            From float to float. It must be monotone over the band; a falling one swaps the ends.

        Returns
        -------
        Band
            Stated if this one is.

        Raises
        ------
        ValueError
            If a result is not finite, or the function is so far from monotone that the results
            are out of order.

        Examples
        --------
        >>> Band(1.0, 2.0, 4.0).map(lambda ohm: 20.0 / ohm)
        Band(min=5.0, typical=10.0, max=20.0)
        """
        a, b = function(self.min), function(self.max)
        return Band(min(a, b), function(self.typical), max(a, b), stated=self.stated)

    def scaled(self, factor: float) -> Band:
        """Multiply by a number.

        Parameters
        ----------
        factor : float
            A negative one swaps the ends.

        Returns
        -------
        Band
            Stated if this one is.

        Examples
        --------
        >>> Band(1.0, 2.0, 4.0).scaled(1000.0)
        Band(min=1000.0, typical=2000.0, max=4000.0)
        """
        return self.map(lambda v: v * factor)

    def plus(self, other: Band) -> Band:
        """Add another band: smallest to smallest, typical to typical, largest to largest.

        Parameters
        ----------
        other : Band
            In the same unit.

        Returns
        -------
        Band
            Stated if both are.

        Examples
        --------
        >>> Band(1.0, 2.0, 4.0).plus(Band(0.5, 1.0, 1.5))
        Band(min=1.5, typical=3.0, max=5.5)
        """
        return Band(
            self.min + other.min,
            self.typical + other.typical,
            self.max + other.max,
            stated=self.stated and other.stated,
        )
