"""The list of all moves."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeAlias

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change
from bridgewire.remedies.moves import (
    battery,
    connection,
    drop_cue,
    heavier_cable,
    longer_pulse,
    move_box,
    move_cue,
    new_strip,
    other_class,
    other_output,
    other_strip,
    other_way,
    parallel_runs,
    reorder_chain,
    repeat_pulse,
    respace,
    retime,
    shorter_pulse,
    shorter_run,
    split_chain,
    splitter_for_chain,
)

Move: TypeAlias = Callable[[Case, str], Iterator[Change]]
"""From a case and the id of a cue to changes that may help it."""

MOVES: Sequence[Move] = (
    longer_pulse.changes,
    shorter_pulse.changes,
    repeat_pulse.changes,
    retime.changes,
    move_cue.changes,
    respace.changes,
    drop_cue.changes,
    battery.changes,
    shorter_run.changes,
    reorder_chain.changes,
    connection.changes,
    other_way.changes,
    other_strip.changes,
    other_output.changes,
    new_strip.changes,
    split_chain.changes,
    splitter_for_chain.changes,
    parallel_runs.changes,
    heavier_cable.changes,
    move_box.changes,
    other_class.changes,
)
"""Cheapest kinds first."""
