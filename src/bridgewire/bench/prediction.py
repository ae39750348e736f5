"""What trials change in a show: verdicts and odds of every igniter, before and after."""

from __future__ import annotations

import math

from attrs import field, frozen

from bridgewire.bench.kit_changes import ChangedEntry
from bridgewire.circuit.layout import Layout
from bridgewire.diagnostics import Finding
from bridgewire.timeline.outcomes import Assessment, IgniterOutcome, Verdict
from bridgewire.uncertainty.intervals import Estimate
from bridgewire.uncertainty.study import OddsStudy

RANK = {Verdict.NO: 0, Verdict.UNKNOWN: 1, Verdict.MARGINAL: 2, Verdict.SURE: 3}
MOVED = 0.02
"""A margin that moved by less than this part of itself is as it was."""
LEAST_DARK = 1e-4
"""Probabilities of staying unlit that differ by less are not told apart."""


@frozen
class Reason:
    """What one entry does to an igniter's margin.

    Attributes
    ----------
    entry : ChangedEntry
    alone : float or None
        The margin with only this entry as trials have it.
    without : float or None
        The margin with all but this entry as trials have it.
    share : float
        Part of the change of the logarithm of the margin that goes with it: mean of what it does
        alone and of what is missing without it. Below 0 where it goes the other way.
    """

    entry: ChangedEntry
    alone: float | None
    without: float | None
    share: float


@frozen
class DarkReason:
    """What one entry does to the probability that an igniter stays unlit.

    Attributes
    ----------
    entry : ChangedEntry
    alone : float
        The probability with only this entry as trials have it.
    without : float
        The probability with all but this entry as trials have it.
    share : float
        Part of the change that goes with it, as for `Reason`.
    """

    entry: ChangedEntry
    alone: float
    without: float
    share: float


@frozen
class IgniterPrediction:
    """One igniter under one cue, before and after.

    Attributes
    ----------
    cue, igniter : str
    before, after : IgniterOutcome
    lights_before, lights_after : Estimate or None
        Probability that it lights; None where no odds were asked for, or it has none.
    worst : bool
        Whether the reasons are about the margin at the worst corner; else about the typical one.
    reasons : tuple of Reason
        Most important first.
    dark_reasons : tuple of DarkReason
        Likewise for the probability of staying unlit, where that is clearly another.
    """

    cue: str
    igniter: str
    before: IgniterOutcome
    after: IgniterOutcome
    lights_before: Estimate | None = None
    lights_after: Estimate | None = None
    worst: bool = True
    reasons: tuple[Reason, ...] = ()
    dark_reasons: tuple[DarkReason, ...] = ()

    @property
    def turned(self) -> bool:
        """Whether the verdict is another."""
        return self.before.verdict is not self.after.verdict

    @property
    def worse(self) -> bool:
        """Whether the verdict is worse."""
        return RANK[self.after.verdict] < RANK[self.before.verdict]

    @property
    def moved(self) -> bool:
        """Whether verdict, margin or probability of lighting are clearly another."""
        change = log_change(self.before.margin, self.after.margin)
        return self.turned or self.odds_moved or (change is not None and abs(change) > MOVED)

    @property
    def odds_moved(self) -> bool:
        """Whether the probability of lighting is clearly another: the intervals do not meet.

        Where one side hardly ever stays unlit, a difference of `LEAST_DARK` decides.
        """
        a, b = self.lights_before, self.lights_after
        if a is None or b is None:
            return False
        if min(1.0 - a.value, 1.0 - b.value) < LEAST_DARK:
            return abs(a.value - b.value) > LEAST_DARK
        return a.high < b.low or b.high < a.low


@frozen(eq=False)
class Prediction:
    """A show before and after trials.

    Attributes
    ----------
    title, file : str
        Of the show.
    kit : str
        Id of the kit that trials have taught.
    igniters : tuple of IgniterPrediction
        In the order of the show's cues.
    entries : tuple of ChangedEntry
        Entries that the show's circuits use and that are not as they were.
    new, gone : tuple of Finding
        Findings about the show; those about kit profiles are left out.
    odds_before, odds_after : OddsStudy or None
    samples : bool
        Whether the kit says how its values go together.
    notes : tuple of str
    """

    title: str
    file: str
    kit: str
    igniters: tuple[IgniterPrediction, ...]
    entries: tuple[ChangedEntry, ...]
    new: tuple[Finding, ...] = ()
    gone: tuple[Finding, ...] = ()
    odds_before: OddsStudy | None = field(default=None, repr=False)
    odds_after: OddsStudy | None = field(default=None, repr=False)
    samples: bool = False
    notes: tuple[str, ...] = ()

    @property
    def got_worse(self) -> bool:
        """Whether any verdict is worse."""
        return any(i.worse for i in self.igniters)

    @property
    def falls_short(self) -> bool:
        """Whether some igniter has not the reliability that the show requires."""
        return self.odds_after is not None and self.odds_after.below_required


@frozen(eq=False)
class Side:
    """A show with one state of the kit."""

    layout: Layout
    assessment: Assessment
    findings: tuple[Finding, ...]
    odds: OddsStudy | None = None


def log_change(before: float | None, after: float | None) -> float | None:
    """Logarithm of after over before; None where one of them is unknown, 0 or infinite."""
    if before is None or after is None or before <= 0.0 or after <= 0.0:
        return None
    if not (math.isfinite(before) and math.isfinite(after)):
        return None
    return math.log(after / before)
