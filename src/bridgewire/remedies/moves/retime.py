"""Cues switched so early that their effects are seen when they are wanted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bridgewire.model.show import Cue
from bridgewire.remedies.case import Case, Trial
from bridgewire.remedies.change import Change
from bridgewire.remedies.edits import Set

KIND = "retime"
WORTH_S = 0.005


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose the right switching time for the cue, and for every cue that states both times."""
    trial = case.as_written
    own = retimed(case.show.cue, trial, cue_id)
    if own is None:
        return
    yield own
    others = [r for c in trial.assessment.cues if (r := retimed(case.show.cue, trial, c.id))]
    if len(others) > 1:
        yield Change(
            KIND,
            f"switch all {len(others)} cues that state when their effect is wanted so early that "
            "light time and fuse are allowed for",
            tuple(e for r in others for e in r.edits),
            frozenset().union(*(r.boxes for r in others)),
        )


def retimed(cues: Sequence[Cue], trial: Trial, cue_id: str) -> Change | None:
    """The change that brings a cue's first effect to the time it is wanted, as a trial has it.

    None where the cue does not state both times, never lights, or is right already. The effect
    comes when it was wanted: that is no shift of the show.
    """
    outcome = trial.cues[cue_id]
    if outcome.cue >= len(cues) or cues[outcome.cue].id != cue_id or outcome.way is None:
        return None
    cue = cues[outcome.cue]
    if cue.time_s is None or cue.effect_at_s is None:
        return None
    seen = [i.effect.typical for i in outcome.meant if i.effect is not None and not i.lit_before]
    shift = cue.effect_at_s - min(seen, default=math.inf)
    if not math.isfinite(shift) or abs(shift) < WORTH_S:
        return None
    time_s = round(outcome.switch_s + shift, 3)
    return Change(
        KIND,
        f"switch cue {cue_id!r} at {time_s:.3f} s",
        (Set(("cue", outcome.cue, "time_s"), time_s),),
        frozenset((outcome.way[0],)),
    )
