"""What a cutting plan is asked and what it answers, in whole steps of length."""

from __future__ import annotations

from attrs import frozen


@frozen
class Stock:
    """Drums alike: `count` of them, each `length` steps long."""

    id: str
    length: int
    count: int


@frozen
class Demand:
    """Pieces alike: `count` of them, each `length` steps long, above 0."""

    length: int
    count: int
    pinned: str | None = None
    """Id of the drums that they must be cut from; any where None."""


@frozen
class Cut:
    """One drum that is cut."""

    stock: str
    pieces: tuple[Demand, ...]
    """What is cut, longest first; each with a count of 1."""
    left: int
    """Steps left on the drum."""


@frozen
class Plan:
    """How to cut.

    Attributes
    ----------
    cuts : tuple of Cut
        One for each drum that is opened.
    uncut : tuple of Demand
        Pieces that no drum has cable for; the least total length possible where `proven`.
    tidy : bool
        Whether, among plans that leave as little uncut and open as few drums, nothing better
        exists: first the least cable on the drums opened, then the least waste, then the longest
        single left-over.
    least_uncut, least_drums : int
        Bounds: no plan leaves less uncut; no plan that leaves as little needs fewer drums.
    """

    cuts: tuple[Cut, ...]
    uncut: tuple[Demand, ...]
    tidy: bool
    least_uncut: int
    least_drums: int

    @property
    def uncut_length(self) -> int:
        """Total length of what cannot be cut, in steps."""
        return sum(d.length * d.count for d in self.uncut)

    @property
    def proven(self) -> bool:
        """Whether it reaches both bounds: no plan leaves less uncut or, then, needs fewer drums."""
        return self.uncut_length == self.least_uncut and len(self.cuts) == self.least_drums
