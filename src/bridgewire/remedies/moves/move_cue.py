"""Cues earlier or later, so that the box is free and its supply has recovered."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Edit, Set
from bridgewire.units import seconds

KIND = "move-cue"
STEPS_S = (0.25, 0.5, 1.0, 2.0, 5.0)
FINE_S = 0.01
TOGETHER_S = 0.001
"""Cues nearer than this in time are meant to be seen as one."""
MOST_TOGETHER = 40


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose the times that findings name, and steps both ways: for the cue, for all cues at
    its moment, and for the cue that keeps its box busy."""
    outcome = case.as_written.cues[cue_id]
    if outcome.way is None:
        return
    wanted, blamed = _wanted(case, cue_id)
    if not wanted and not _busy(case, cue_id):
        return
    for shift in dict.fromkeys((*wanted, *(s for d in STEPS_S for s in (d, -d)))):
        yield moved(case, (cue_id,), round(shift, 6))
    together = [
        c.id
        for c in case.as_written.assessment.cues
        if abs(c.switch_s - outcome.switch_s) < TOGETHER_S and c.way is not None
    ]
    for shift in wanted:
        if 1 < len(together) <= MOST_TOGETHER:
            yield moved(case, together, round(shift, 6))
        if blamed is not None:
            yield moved(case, (blamed,), round(-shift, 6))


def moved(case: Case, cue_ids: Sequence[str], shift_s: float) -> Change:
    """The change that moves cues in time."""
    edits: list[Edit] = []
    for cue_id in cue_ids:
        edits += shifted(case, case.as_written.cues[cue_id].cue, shift_s)
    by = f"{seconds(abs(shift_s))} {'later' if shift_s > 0 else 'earlier'}"
    alone = len(cue_ids) == 1
    words = f"move cue {cue_ids[0]!r} {by}"
    if not alone:
        words = f"move the {len(cue_ids)} cues at the moment of cue {cue_ids[0]!r} {by}, together"
    ways = (case.as_written.cues[c].way for c in cue_ids)
    return Change(
        KIND,
        words,
        tuple(edits),
        frozenset(way[0] for way in ways if way is not None),
        Effort(shift_s=abs(shift_s) * len(cue_ids)),
        recipe=f"{shift_s:+.6g} {'alone' if alone else 'together'}",
        each=f"move it {by}" if alone else "",
    )


def shifted(case: Case, index: int, shift_s: float) -> list[Edit]:
    """Edits that move a cue (by index), with its switching time and that of its effect."""
    cue = case.show.cue[index]
    return [
        Set(("cue", index, key), round(value + shift_s, 6))
        for key in ("time_s", "effect_at_s")
        if (value := getattr(cue, key)) is not None
    ]


def _wanted(case: Case, cue_id: str) -> tuple[list[float], str | None]:
    """Shifts that findings name, later ones, and the cue that is in the way."""
    wanted, blamed = [], None
    for finding in case.as_written.about(cue_id):
        if finding.code != "TIM002" or finding.measured is None or finding.limit is None:
            continue
        wanted.append(math.ceil((finding.limit - finding.measured) / FINE_S - 1e-6) * FINE_S)
        if finding.subjects[1:2] and finding.subjects[1] in case.as_written.cues:
            blamed = finding.subjects[1]
    return [w for w in wanted if w > 0], blamed


def _busy(case: Case, cue_id: str) -> bool:
    """Whether time may help: the supply is short, or the way or box is in use."""
    codes = {f.code for f in case.as_written.about(cue_id)}
    return bool(codes & {"SUP001", "SUP002", "SUP004", "TIM002", "FIR010"})
