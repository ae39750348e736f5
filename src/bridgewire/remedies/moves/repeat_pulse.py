"""The same pulse again: heat adds up, and what has burned open leaves the current to others."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Set
from bridgewire.units import seconds

KIND = "repeat-pulse"
LEAST_GAP_S = 0.1


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose one and two repeats, as soon as the box takes them."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    cue = case.show.cue[outcome.cue]
    if outcome.way is None or outcome.pulse_s is None or cue.repeat is not None:
        return
    if not any(not i.lit_before for i in outcome.meant):
        return
    hold_off = layout.boxes[outcome.way[0]][1].hold_off
    gap = max(LEAST_GAP_S, 0.0 if hold_off is None else hold_off.time_s)
    for times in (1, 2):
        again = "once" if times == 1 else f"{times} times"
        after = f"{seconds(gap)} after it ends"
        yield Change(
            KIND,
            f"repeat the pulse of cue {cue_id!r} {again}, {after}",
            (Set(("cue", outcome.cue, "repeat"), {"times": times, "gap_s": gap}),),
            frozenset((outcome.way[0],)),
            Effort(longer_s=times * (outcome.pulse_s + gap)),
            recipe=str(times),
            each=f"repeat its pulse {again}, {after}",
        )
