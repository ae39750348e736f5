"""What can change between two revisions of a show: verdicts, figures, cues, findings, kits."""

from __future__ import annotations

import enum

from attrs import frozen

from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import Finding
from bridgewire.report.contents import Checked, UsedKit
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Verdict


class Turn(enum.Enum):
    """Which way a verdict or a figure went."""

    WORSE = "worse"
    BETTER = "better"
    OTHER = "other"


@frozen
class VerdictChange:
    """One igniter under one cue whose verdict is another, or that the cue means no more or anew."""

    cue: str
    igniter: str
    before: Verdict | None
    """None where the cue did not mean to light it."""
    after: Verdict | None
    """None where the cue does not mean to light it any more."""
    turn: Turn
    old: IgniterOutcome | None = None
    new: IgniterOutcome | None = None


@frozen
class FigureChange:
    """A margin or a light time that moved by more than its tolerance."""

    cue: str
    igniter: str
    quantity: str
    """``margin``, ``earliest light`` or ``latest light``."""
    unit: str
    before: float | None
    after: float | None
    """``inf`` is never, None is not known."""
    turn: Turn


@frozen
class CueMove:
    """What the crew has to set otherwise for a cue that is in both revisions."""

    cue: str
    was: str
    """Its old id; the same where it kept it."""
    switch_s: tuple[float, float] | None = None
    pulse_s: tuple[float | None, float | None] | None = None
    way: tuple[WayKey | None, WayKey | None] | None = None


@frozen
class KitChange:
    """A kit profile that is another, was added or is used no more."""

    id: str
    before: UsedKit | None
    after: UsedKit | None

    @property
    def same_version(self) -> bool:
        """Whether the contents changed and the version that it states did not."""
        return (
            self.before is not None
            and self.after is not None
            and self.before.version == self.after.version
        )


@frozen
class ShowDiff:
    """The difference of two revisions of one show.

    Attributes
    ----------
    old, new : Checked
        The two reports.
    verdicts : tuple of VerdictChange
        In the order of the new show's cues, removed cues last.
    figures : tuple of FigureChange
        Of igniters whose verdict is the same, beyond the tolerances of this module.
    moves : tuple of CueMove
    added, removed : tuple of CueOutcome
    found, cleared : tuple of Finding
        New findings (among them those that the show ignored before) and those that are gone.
    worse_findings : tuple of Finding
        Findings of both whose severity rose or whose value got clearly worse.
    silenced : tuple of Finding
        Found as before, but the show now asks not to hear of them.
    kits : tuple of KitChange
    """

    old: Checked
    new: Checked
    verdicts: tuple[VerdictChange, ...] = ()
    figures: tuple[FigureChange, ...] = ()
    moves: tuple[CueMove, ...] = ()
    added: tuple[CueOutcome, ...] = ()
    removed: tuple[CueOutcome, ...] = ()
    found: tuple[Finding, ...] = ()
    cleared: tuple[Finding, ...] = ()
    worse_findings: tuple[Finding, ...] = ()
    silenced: tuple[Finding, ...] = ()
    kits: tuple[KitChange, ...] = ()

    def turned(self, turn: Turn) -> tuple[VerdictChange, ...]:
        """Changes of verdicts that went one way."""
        return tuple(v for v in self.verdicts if v.turn is turn)

    @property
    def got_worse(self) -> bool:
        """Whether any verdict got worse."""
        return bool(self.turned(Turn.WORSE))

    @property
    def nothing_changed(self) -> bool:
        """Whether there is nothing to say, in verdicts or in anything else."""
        return not (
            self.verdicts
            or self.figures
            or self.moves
            or self.added
            or self.removed
            or self.found
            or self.cleared
            or self.worse_findings
            or self.silenced
            or self.kits
        )
