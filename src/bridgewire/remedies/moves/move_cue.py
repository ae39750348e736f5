"""A cue earlier or later, so that the box is free and its supply has recovered."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Set
from bridgewire.units import seconds

KIND = "move-cue"
STEPS_S = (0.25, 0.5, 1.0, 2.0, 5.0)
FINE_S = 0.01


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose the times that findings name, and some steps in both directions."""
    outcome = case.as_written.cues[cue_id]
    if outcome.way is None:
        return
    wanted = []
    for finding in case.as_written.about(cue_id):
        if finding.code in ("TIM002", "TIM003") and finding.measured is not None:
            limit = finding.limit
            if limit is not None and finding.code == "TIM002":
                wanted.append(math.ceil((limit - finding.measured) / FINE_S - 1e-6) * FINE_S)
            elif finding.code == "TIM003":
                wanted.append(math.ceil(finding.measured / FINE_S - 1e-6) * FINE_S)
    if not wanted and not _busy(case, cue_id):
        return
    for shift in dict.fromkeys((*wanted, *(s for d in STEPS_S for s in (d, -d)))):
        if shift:
            yield moved(case, cue_id, round(shift, 6), frozenset((outcome.way[0],)))


def moved(case: Case, cue_id: str, shift_s: float, boxes: frozenset[str]) -> Change:
    """The change that moves one cue in time."""
    index = case.as_written.cues[cue_id].cue
    cue = case.show.cue[index]
    edits = tuple(
        Set(("cue", index, key), round(value + shift_s, 6))
        for key in ("time_s", "effect_at_s")
        if (value := getattr(cue, key)) is not None
    )
    word = "later" if shift_s > 0 else "earlier"
    return Change(
        KIND,
        f"move cue {cue_id!r} {seconds(abs(shift_s))} {word}",
        edits,
        boxes,
        Effort(shift_s=abs(shift_s)),
    )


def _busy(case: Case, cue_id: str) -> bool:
    """Whether time may help: the supply is short, or the way or box is in use."""
    codes = {f.code for f in case.as_written.about(cue_id)}
    return bool(codes & {"SUP002", "SUP004", "TIM002", "TIM003", "FIR010"})
