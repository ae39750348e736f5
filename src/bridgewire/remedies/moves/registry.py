"""The list of all moves."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeAlias

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change
from bridgewire.remedies.moves import longer_pulse

Move: TypeAlias = Callable[[Case, str], Iterator[Change]]
"""From a case and the id of a cue to changes that may help it."""

MOVES: Sequence[Move] = (longer_pulse.changes,)
"""Cheapest kinds first."""
