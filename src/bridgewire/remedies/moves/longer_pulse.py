"""Another pulse that the box offers: a longer one, or the nearest where it offers no such pulse."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Set
from bridgewire.units import seconds

KIND = "longer-pulse"
FACTORS = (1.0, 1.5, 2.0, 3.0)
"""Pulses between the present one and the longest are tried in these steps."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose the pulse that is said to be enough, some that are longer, and the longest."""
    outcome = case.as_written.cues[cue_id]
    if outcome.way is None or outcome.pulse_s is None:
        return
    offered = case.as_written.layout.boxes[outcome.way[0]][1].pulses
    if offered is None:
        return
    longest = max(offered.offered_s) if offered.offered_s else offered.max_s
    wishes = [outcome.needed_pulse_s, *(f * outcome.pulse_s for f in FACTORS), longest]
    tried = {outcome.pulse_s}
    for wish in wishes:
        pulse = None if wish is None or math.isinf(wish) else offered.shortest_at_least(wish)
        if pulse is None or pulse in tried or pulse < outcome.pulse_s:
            continue
        tried.add(pulse)
        yield pulse_change(case, cue_id, pulse, KIND)


def pulse_change(case: Case, cue_id: str, pulse_s: float, kind: str) -> Change:
    """The change that gives a cue another pulse."""
    outcome = case.as_written.cues[cue_id]
    assert outcome.pulse_s is not None
    assert outcome.way is not None
    return Change(
        kind,
        f"give cue {cue_id!r} a pulse of {seconds(pulse_s)} in place of {seconds(outcome.pulse_s)}",
        (Set(("cue", outcome.cue, "pulse_s"), pulse_s),),
        frozenset((outcome.way[0],)),
        Effort(longer_s=max(pulse_s - outcome.pulse_s, 0.0)),
        recipe=f"to {pulse_s:.6g}",
        each=f"give it a pulse of {seconds(pulse_s)}",
    )
