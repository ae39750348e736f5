"""Words on igniters in series, of which one can burn open before another lights."""

from __future__ import annotations

from bridgewire.rules.subjects import names
from bridgewire.timeline.outcomes import IgniterOutcome

MORE_CURRENT = (
    "bring more current to the string, use one class and batch in it, or wire them in parallel"
)
"""What helps where an igniter of a string is cut off by another: a longer pulse does not."""


def mates(igniter: IgniterOutcome) -> tuple[str, ...]:
    """Ids of the igniters in series that can burn open first; none for others of its own entry."""
    return tuple(name for name in igniter.broken_by if name != igniter.id)


def mates_named(igniter: IgniterOutcome) -> str:
    """The same in words, for an igniter that has such a mate."""
    others = mates(igniter)
    return names(others) if others else "another of its string"
