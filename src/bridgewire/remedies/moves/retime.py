"""Cues switched so early that their effects are seen when they are wanted."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.edits import Edit, Set

KIND = "retime"
WORTH_S = 0.005


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose the right switching time for the cue, and for every cue that states both times."""
    own = _retimed(case, cue_id)
    if own is None:
        return
    layout = case.as_written.layout
    yield _change(case, [(cue_id, own)], f"switch cue {cue_id!r} at {own[1]:.3f} s")
    others = [
        (outcome.id, found)
        for outcome in case.as_written.assessment.cues
        if (found := _retimed(case, outcome.id)) is not None
    ]
    if len(others) > 1:
        yield _change(
            case,
            others,
            f"switch all {len(others)} cues that state when their effect is wanted so early that "
            "light time and fuse are allowed for",
        )
    del layout


def _retimed(case: Case, cue_id: str) -> tuple[int, float, float] | None:
    """Index, right switching time and shift of a cue that states both times, s."""
    outcome = case.as_written.cues[cue_id]
    cue = case.show.cue[outcome.cue]
    if cue.time_s is None or cue.effect_at_s is None or outcome.way is None:
        return None
    seen = [i.effect.typical for i in outcome.meant if i.effect is not None and not i.lit_before]
    first = min(seen, default=float("inf"))
    if first == float("inf"):
        return None
    shift = cue.effect_at_s - first
    if abs(shift) < WORTH_S:
        return None
    return outcome.cue, round(outcome.switch_s + shift, 3), abs(shift)


def _change(case: Case, cues: list[tuple[str, tuple[int, float, float]]], words: str) -> Change:
    edits: list[Edit] = [Set(("cue", index, "time_s"), time) for _, (index, time, _) in cues]
    boxes = {way[0] for i, _ in cues if (way := case.as_written.cues[i].way) is not None}
    # The effects come when they were wanted: that is no shift of the show.
    return Change(KIND, words, tuple(edits), frozenset(boxes), Effort())
