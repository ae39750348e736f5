"""A shorter pulse: the box is free sooner, and less charge and heat go into the wiring."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.model.kit import PulseChoice
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change
from bridgewire.remedies.moves.longer_pulse import pulse_change

KIND = "shorter-pulse"
OWN = ("TIM001", "WIR005", "WIR006", "SUP002", "SUP005")
"""Findings that a shorter pulse of the cue itself can clear."""
BEFORE = ("TIM002", "SUP004")
"""Findings that a shorter pulse of the cue that they blame can clear."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose shorter pulses for the cue, or for the cue that keeps its box busy."""
    trial = case.as_written
    for finding in trial.about(cue_id):
        if finding.code in OWN:
            yield from _shorter(case, cue_id)
            break
    blamed = {
        subject: None
        for finding in trial.about(cue_id)
        if finding.code in BEFORE
        for subject in finding.subjects[1:2]
        if subject in trial.cues and subject != cue_id
    }
    for other in blamed:
        yield from _shorter(case, other)


def _shorter(case: Case, cue_id: str) -> Iterator[Change]:
    outcome = case.as_written.cues[cue_id]
    if outcome.way is None or outcome.pulse_s is None:
        return
    offered = case.as_written.layout.boxes[outcome.way[0]][1].pulses
    if offered is not None:
        for pulse in shorter(offered, outcome.pulse_s):
            yield pulse_change(case, cue_id, pulse, KIND)


def shorter(offered: PulseChoice, pulse_s: float) -> list[float]:
    """Pulses on offer below one: the nearest, about half, and the shortest.

    >>> shorter(PulseChoice(offered_s=(0.02, 0.05, 0.1)), 0.07)
    [0.05, 0.02]
    """
    if offered.offered_s:
        below = sorted((p for p in offered.offered_s if p < pulse_s - 1e-9), reverse=True)
        wanted = [*below[:1], *[p for p in below if p <= 0.5 * pulse_s][:1], *below[-1:]]
        return list(dict.fromkeys(wanted))
    if offered.min_s is None or offered.min_s >= pulse_s - 1e-9:
        return []
    step = offered.step_s or 0.1 * pulse_s
    below_it = offered.min_s + math.floor((pulse_s - offered.min_s) / step - 1e-6) * step
    half = offered.shortest_at_least(max(0.5 * pulse_s, offered.min_s))
    wanted = [round(below_it, 9), *([] if half is None else [half]), offered.min_s]
    return [p for p in dict.fromkeys(wanted) if p < pulse_s - 1e-9]
