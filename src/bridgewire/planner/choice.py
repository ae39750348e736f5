"""What there is to choose from for a site."""

from __future__ import annotations

from attrs import frozen

from bridgewire.planner.feeds import FeedClass, Group
from bridgewire.planner.timing import Busy


@frozen
class Choice:
    """What the master has to choose from: feeds, and the cues they are to light.

    Attributes
    ----------
    classes : tuple of FeedClass
    groups : tuple of Group
    members : tuple of tuple of int
        Cues of each group.
    busy : tuple of Busy
        Of each cue.
    """

    classes: tuple[FeedClass, ...]
    groups: tuple[Group, ...]
    members: tuple[tuple[int, ...], ...]
    busy: tuple[Busy, ...]
