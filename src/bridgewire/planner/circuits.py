"""What hangs on one output, as the electrical check sees it."""

from __future__ import annotations

from attrs import frozen

from bridgewire.planner.loads import Load


@frozen
class Lay:
    """A run as it is laid."""

    cable: str
    """Full id."""
    length_m: float
    joints: int = 0
    whole: bool = False
    """Whether it is a made-up cable that stays whole."""


@frozen
class Hop:
    """A run and the part at its end."""

    parent: int
    """Index of the hop that it starts from; -1 for the box."""
    lay: Lay
    part: str
    """Full id of a strip or splitter."""
    load: Load | None = None
    """What is on the way in question there."""


@frozen(cache_hash=True)
class Circuit:
    """One way of an output with all that it lights."""

    box: int
    """Index in the stock of boxes."""
    hops: tuple[Hop, ...]
