"""Cues switched so early that their effects are seen when they are wanted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bridgewire.model.show import Cue
from bridgewire.remedies.case import Case, Trial
from bridgewire.remedies.change import Change
from bridgewire.remedies.edits import Set
from bridgewire.units import seconds

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
            recipe="all",
        )


def retimed(cues: Sequence[Cue], trial: Trial, cue_id: str) -> Change | None:
    """The change that puts a cue's effects round the time they are wanted, as a trial has it.

    The middle between the earliest and the latest that tolerances allow comes to that time, as
    that leaves the least error. None where the cue does not state both times, never lights, or
    is right already. The effect comes when it was wanted: that is no shift of the show.
    """
    outcome = trial.cues[cue_id]
    if outcome.cue >= len(cues) or cues[outcome.cue].id != cue_id or outcome.way is None:
        return None
    cue = cues[outcome.cue]
    if cue.time_s is None or cue.effect_at_s is None:
        return None
    seen = [i.effect for i in outcome.meant if i.effect is not None and not i.lit_before]
    seen = [e for e in seen if math.isfinite(e.typical)]
    if not seen:
        return None
    last = max(e.latest if math.isfinite(e.latest) else e.typical for e in seen)
    shift = cue.effect_at_s - 0.5 * (min(e.earliest for e in seen) + last)
    if abs(shift) < WORTH_S:
        return None
    time_s = round(outcome.switch_s + shift, 3)
    by = f"{seconds(abs(shift))} {'later' if shift > 0 else 'earlier'}"
    return Change(
        KIND,
        f"switch cue {cue_id!r} at {time_s:.3f} s, {by}, for its effect to be seen at "
        f"{cue.effect_at_s:g} s",
        (Set(("cue", outcome.cue, "time_s"), time_s),),
        frozenset((outcome.way[0],)),
        recipe="own",
        each="switch it so that its effect is seen when it is wanted",
    )
