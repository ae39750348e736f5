"""What the master chooses, and what it learns when that fails."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from attrs import field, frozen

from bridgewire.planner.demand_names import Demand
from bridgewire.planner.feeds import Feed, FeedClass, Take


@frozen
class Design:
    """How often each feed is used; how many ways each class of feeds takes; strips and boxes.

    Attributes
    ----------
    feeds : mapping of Feed to int
    ways : mapping of (FeedClass, Take) to int
    strips : mapping of (FeedClass, position, strip kind) to int
    boxes : mapping of (box, place) to int
    cost : int
        In the solver's steps.
    """

    feeds: Mapping[Feed, int]
    ways: Mapping[tuple[FeedClass, Take], int]
    strips: Mapping[tuple[FeedClass, str, str], int]
    boxes: Mapping[tuple[int, str], int]
    cost: int

    def used(self, klass: FeedClass) -> int:
        """How many outputs carry a feed of a class."""
        return sum(self.feeds.get(f, 0) for f in klass.feeds)


@frozen
class Cut:
    """Designs that are known to fail: none that has at most this of everything it touches.

    Attributes
    ----------
    demand : Demand
        What it stands for.
    positions : frozenset of str
        Feeds that reach one of them are touched.
    used : mapping of FeedClass to int
        How many of each class of feeds the failed design had.
    strips : mapping
        How many strips of each kind it had in them.
    boxes : mapping of (box, place) to int
        How many boxes, where more would help.
    cable : str
        Cable of which its runs could not be cut.
    fewer_pieces : mapping of float to int
        By length, how many runs it had that are at least so long.
    exact : bool
        Whether all designs that it shuts out do fail; else a bound that rests on it is none.
    """

    demand: Demand
    positions: frozenset[str] = frozenset()
    used: Mapping[FeedClass, int] = field(factory=dict)
    strips: Mapping[tuple[FeedClass, str, str], int] = field(factory=dict)
    boxes: Mapping[tuple[int, str], int] = field(factory=dict)
    cable: str = ""
    fewer_pieces: Mapping[float, int] = field(factory=dict)
    exact: bool = True

    def touches(self, klass: FeedClass) -> bool:
        """Whether feeds of a class reach a position that it is about."""
        return not self.positions.isdisjoint(klass.shape.positions)

    def more_of(self, classes: Sequence[FeedClass]) -> Iterator[tuple[FeedClass, int]]:
        """Classes of which a design that holds must have more than the failed one, if of any."""
        for klass in classes:
            if self.touches(klass):
                yield klass, self.used.get(klass, 0)
