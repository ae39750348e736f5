"""Cues that fail alike, so that one search does for all of them."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.remedies.case import Trial
from bridgewire.remedies.judge import state_of


def alike(trial: Trial, cue_ids: Sequence[str]) -> list[tuple[str, ...]]:
    """Put cues together that fail in the same way on the same kind of box.

    Parameters
    ----------
    trial : Trial
        The show as it is written.
    cue_ids : sequence of str

    Returns
    -------
    list of tuple of str
        In each the cue that stands worst first; groups by their first cue in `cue_ids`.
    """
    groups: dict[object, list[str]] = {}
    for cue_id in dict.fromkeys(cue_ids):
        groups.setdefault(_signature(trial, cue_id), []).append(cue_id)
    return [worst_first(trial, g) for g in groups.values()]


def worst_first(trial: Trial, cue_ids: Sequence[str]) -> tuple[str, ...]:
    """Order cues by their margin, those without first; equal ones stay in order."""

    def margin(cue_id: str) -> float:
        found = state_of(trial, cue_id).margin
        return -1.0 if found is None else found

    return tuple(sorted(cue_ids, key=margin))


def _signature(trial: Trial, cue_id: str) -> object:
    outcome = trial.cues[cue_id]
    layout = trial.layout
    state = state_of(trial, cue_id)
    by_index = {p.index: p for p in layout.igniters}
    classes = frozenset(by_index[i.igniter].class_id for i in outcome.meant)
    box = None if outcome.way is None else layout.boxes[outcome.way[0]][2]
    return (
        box,
        state.verdict,
        frozenset(f.code for f in state.findings),
        classes,
        outcome.pulse_s,
    )
