"""Cues of one box drawn apart in time, each waiting for the one before."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bridgewire.model.kit import BoxKind, CapacitorSupply
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Edit
from bridgewire.remedies.moves.move_cue import shifted
from bridgewire.timeline.outcomes import CueOutcome
from bridgewire.units import seconds

KIND = "respace"
CODES = ("TIM002", "SUP004")
FINE_S = 0.01
MOST = 40
"""Cues that are moved at once."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose to draw the burst that a cue is in apart by the hold-off, and by the recharging."""
    trial = case.as_written
    outcome = trial.cues[cue_id]
    if outcome.way is None or not any(f.code in CODES for f in trial.about(cue_id)):
        return
    kind = trial.layout.boxes[outcome.way[0]][1]
    row = _sharing(case, outcome, kind)
    for gap, why in _gaps(kind):
        shifts = _shifts(case, row, gap, cue_id)
        if not 0 < len(shifts) <= MOST:
            continue
        edits: list[Edit] = []
        for other, shift in shifts:
            edits += shifted(case, other.cue, shift)
        cues = f"cue {shifts[0][0].id!r}"
        if len(shifts) > 1:
            cues = f"{len(shifts)} cues of box {outcome.way[0]!r}, from {cues} on,"
        most = max(s for _, s in shifts)
        yield Change(
            KIND,
            f"move {cues} up to {seconds(most)} later, so that each comes {seconds(gap)} or more "
            f"after the pulse before ({why})",
            tuple(edits),
            frozenset((outcome.way[0],)),
            Effort(shift_s=math.fsum(s for _, s in shifts)),
            recipe=why,
        )


def _gaps(kind: BoxKind) -> Iterator[tuple[float, str]]:
    hold_off = 0.0 if kind.hold_off is None else kind.hold_off.time_s
    if hold_off:
        yield hold_off, "hold-off"
    if isinstance(kind.supply, CapacitorSupply) and kind.supply.recharge_s is not None:
        recharge = kind.supply.recharge_s.max
        if recharge > hold_off:
            yield recharge, "recharging"


def _sharing(case: Case, outcome: CueOutcome, kind: BoxKind) -> list[CueOutcome]:
    """The cues that keep each other waiting, in time order."""
    assert outcome.way is not None
    scope = "box" if kind.hold_off is None else kind.hold_off.scope
    if isinstance(kind.supply, CapacitorSupply):
        scope = "box"
    depth = {"box": 1, "output": 2, "way": 3}[scope]
    return [
        c
        for c in case.as_written.assessment.by_time()
        if c.way is not None and c.way[:depth] == outcome.way[:depth]
    ]


def _shifts(
    case: Case, row: Sequence[CueOutcome], gap: float, cue_id: str
) -> list[tuple[CueOutcome, float]]:
    """By how much each cue of the burst must come later."""
    bursts: list[list[tuple[CueOutcome, float]]] = [[]]
    free = -math.inf
    for outcome in row:
        shift = math.ceil(max(free - outcome.switch_s, 0.0) / FINE_S - 1e-6) * FINE_S
        if not shift:
            bursts.append([])
        else:
            bursts[-1].append((outcome, shift))
        repeat = case.show.cue[outcome.cue].repeat
        length = outcome.pulse_s or 0.0
        if repeat is not None:
            length += repeat.times * (repeat.gap_s + length)
        free = outcome.switch_s + shift + length + gap
    return next((b for b in bursts if any(c.id == cue_id for c, _ in b)), [])
