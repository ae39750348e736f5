"""The time that a search may take."""

from __future__ import annotations

import math
import time

from attrs import field, frozen

WORTH_S = 0.05
"""Nothing can be done in less time."""


class OutOfTimeError(Exception):
    """The time is up: what was begun is given up, what is known already stays."""


@frozen
class Clock:
    """Counts down; everything that takes long looks at it before each step.

    Attributes
    ----------
    seconds : float
        How long the search may take, s; infinite where it need not end.
    begun : float
        On the clock of `time.monotonic`.
    """

    seconds: float = math.inf
    begun: float = field(factory=time.monotonic)

    @property
    def gone_s(self) -> float:
        """Time since the beginning, s."""
        return time.monotonic() - self.begun

    @property
    def left_s(self) -> float:
        """Time left, s; never negative."""
        return max(self.seconds - self.gone_s, 0.0)

    @property
    def out(self) -> bool:
        """Whether the time is up, or too little of it left for anything."""
        return self.left_s <= WORTH_S

    def look(self) -> None:
        """Go on if there is time left.

        Raises
        ------
        OutOfTimeError
            If there is none.

        Examples
        --------
        >>> Clock().look()
        >>> Clock(seconds=0.0).look()
        Traceback (most recent call last):
        bridgewire.planner.clock.OutOfTimeError
        """
        if self.out:
            raise OutOfTimeError

    def share_s(self, part: float, least_s: float = 0.0) -> float:
        """A part of the time left, but at least so much of it, s; never more than there is."""
        left_s = self.left_s
        return min(max(part * left_s, least_s), left_s)
