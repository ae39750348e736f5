"""A cue left out that lights nothing: its igniters are lit by an earlier one, or it has none."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change
from bridgewire.remedies.edits import Remove

KIND = "drop-cue"
CODES = ("TIM003", "TIM004", "TIM005")


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose to leave the cue out, where it lights nothing that an earlier one has not lit."""
    trial = case.as_written
    outcome = trial.cues[cue_id]
    if not any(f.code in CODES for f in trial.about(cue_id)):
        return
    if any(not i.lit_before for i in outcome.meant):
        return
    why = "its igniters are lit by an earlier cue" if outcome.meant else "no igniter is on its way"
    yield Change(
        KIND,
        f"leave out cue {cue_id!r}: {why}",
        (Remove(("cue", outcome.cue)),),
        frozenset() if outcome.way is None else frozenset((outcome.way[0],)),
        each=f"leave it out: {why}",
        caveat="see that the cue is not there for something that the show file lacks",
        drops=(cue_id,),
    )
