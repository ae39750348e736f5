"""A longer pulse, as far as the box offers one."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change
from bridgewire.remedies.edits import Set
from bridgewire.units import seconds

KIND = "longer-pulse"


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose the shortest pulse that is said to be enough, and the longest on offer."""
    outcome = case.as_written.cues[cue_id]
    if outcome.way is None or outcome.pulse_s is None:
        return
    layout = case.as_written.layout
    offered = layout.boxes[outcome.way[0]][1].pulses
    if offered is None:
        return
    longest = max(offered.offered_s) if offered.offered_s else offered.max_s
    tried = set()
    for wish in (outcome.needed_pulse_s, 2 * outcome.pulse_s, longest):
        pulse = None if wish is None else offered.shortest_at_least(wish)
        if pulse is None or pulse <= outcome.pulse_s or pulse in tried:
            continue
        tried.add(pulse)
        yield Change(
            KIND,
            f"give cue {cue_id!r} a pulse of {seconds(pulse)} in place of "
            f"{seconds(outcome.pulse_s)}",
            (Set(("cue", outcome.cue, "pulse_s"), pulse),),
            frozenset((outcome.way[0],)),
        )
