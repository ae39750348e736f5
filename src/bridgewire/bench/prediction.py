"""What trials change in a show: verdicts before and after, and which values moved them.

The show is computed with the kit as it was and with the kit that trials have taught. Between the
two stand kits of which only one entry (a class, a cable, a box ...) is the new one, and kits of
which all but one are. The first tells what an entry does by itself, the second what is missing
without it. Where the two differ entries work together, and neither is the whole truth: that is a
plain one-at-a-time comparison, no analysis of variance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from attrs import evolve, field, frozen

from bridgewire.bench.kit_changes import ChangedEntry, changed_entries, mixed_kit
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.resolve import resolve
from bridgewire.diagnostics import Finding
from bridgewire.kits.samples import JointSamples
from bridgewire.model.kit import Kit
from bridgewire.physics.laws import Models
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment, IgniterOutcome, Verdict
from bridgewire.uncertainty.intervals import Estimate
from bridgewire.uncertainty.odds import show_odds
from bridgewire.uncertainty.study import OddsStudy

RANK = {Verdict.NO: 0, Verdict.UNKNOWN: 1, Verdict.MARGINAL: 2, Verdict.SURE: 3}
MOVED = 0.02
"""A margin that moved by less than this part of itself is as it was."""
LEAST_DARK = 1e-4
"""Rarer than this, no odds are explained."""
MOST_DRAWS = 4000
"""Draws with which odds are explained, at most."""
_REASONS = 3
_LEAST = 0.1
"""Entries that move the figure by less than this part of the whole are not named."""

Progress = Callable[[int, int], None]


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
        """Whether the verdict or the margin is clearly another."""
        change = _log_change(self.before.margin, self.after.margin)
        return self.turned or self.odds_moved or (change is not None and abs(change) > MOVED)

    @property
    def odds_moved(self) -> bool:
        """Whether the probability of lighting is clearly another: the intervals do not meet."""
        a, b = self.lights_before, self.lights_after
        if a is None or b is None or min(1.0 - a.value, 1.0 - b.value) < LEAST_DARK:
            return a is not None and b is not None and abs(a.value - b.value) > LEAST_DARK
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


def predict(
    file: str,
    kit: Kit,
    before: Side,
    after: Side,
    *,
    models: Models | None = None,
    samples: Mapping[str, JointSamples] | None = None,
    notes: Sequence[str] = (),
    progress: Progress | None = None,
) -> Prediction:
    """Compare a show before and after trials, and say which entries moved what.

    Parameters
    ----------
    file : str
        The show's.
    kit : Kit
        That trials have taught.
    before, after : Side
        Of the same show; `after` as from `show_with_kit`.
    models : Models, optional
        Of plugins.
    samples : mapping of str to JointSamples, optional
        Of the kits of `after`.
    notes : sequence of str
        Handed on.
    progress : callable, optional

    Returns
    -------
    Prediction
    """
    entries = changed_entries(before.layout, kit)
    pairs = _pairs(before.assessment, after.assessment)
    found: list[IgniterPrediction] = []
    for cue, old, new in pairs:
        one = IgniterPrediction(
            cue,
            new.id,
            old,
            new,
            _lights(before.odds, cue, new.igniter),
            _lights(after.odds, cue, new.igniter),
        )
        found.append(one)
    if entries and any(i.moved for i in found):
        alone: list[_Tried] = []
        without: list[_Tried] = []
        mix = _Mix(after, kit, before.layout.catalogue, models, _cues_to_explain(found))
        for n, entry in enumerate(entries):
            alone.append(mix.tried([e for e in entries if e is not entry]))
            without.append(mix.tried([entry]))
            if progress is not None:
                progress(n + 1, len(entries))
        found = [_explained(i, entries, alone, without) if i.moved else i for i in found]
        if mix.odds_of:
            # Without samples on both sides, so that entries alone are compared.
            ends = mix.tried(entries), mix.tried([])
            found = [_odds_explained(i, entries, alone, without, ends) for i in found]
    new_findings, gone = _findings(before.findings, after.findings)
    return Prediction(
        before.layout.show.title,
        file,
        kit.id,
        tuple(found),
        entries,
        new_findings,
        gone,
        before.odds,
        after.odds,
        bool(samples),
        tuple(notes),
    )


@frozen
class _Tried:
    """A show with some entries as they were."""

    margins: Mapping[tuple[str, str], IgniterOutcome]
    dark: Mapping[tuple[str, str], float]
    """Probability of staying unlit, by cue and igniter."""


@frozen(eq=False)
class _Mix:
    """Tries the show with mixed kits."""

    after: Side
    kit: Kit
    before: Catalogue
    models: Models | None
    odds_of: frozenset[str]
    """Cues of which odds are wanted."""

    def tried(self, as_before: Sequence[ChangedEntry]) -> _Tried:
        """The show with some entries as they were."""
        layout = self.after.layout
        kits = {
            **layout.catalogue.kits,
            self.kit.id: mixed_kit(self.kit, self.before, as_before),
        }
        other, problems = resolve(layout.show, Catalogue(kits), self.models)
        assert other is not None, problems
        found = assess(other)
        margins = {(c.id, i.id): i for c in found.cues for i in c.meant}
        dark: dict[tuple[str, str], float] = {}
        if self.odds_of and self.after.odds is not None:
            drawn = self.after.odds.odds
            odds = show_odds(
                found,
                draws=min(drawn.draws, MOST_DRAWS),
                seed=drawn.seed,
                only_cues={c.cue for c in found.cues if c.id in self.odds_of},
            )
            dark = {(c.id, i.id): 1.0 - i.lights.value for c in odds.cues for i in c.igniters}
        return _Tried(margins, dark)


def _cues_to_explain(found: Sequence[IgniterPrediction]) -> frozenset[str]:
    return frozenset(i.cue for i in found if i.odds_moved)


def _odds_explained(
    one: IgniterPrediction,
    entries: Sequence[ChangedEntry],
    alone: Sequence[_Tried],
    without: Sequence[_Tried],
    ends: tuple[_Tried, _Tried],
) -> IgniterPrediction:
    """With the entries that moved the probability of staying unlit."""
    key = one.cue, one.igniter
    if not one.odds_moved or key not in ends[0].dark:
        return one
    before, after = ends[0].dark[key], ends[1].dark[key]
    whole = after - before
    if abs(whole) < LEAST_DARK:
        return one
    reasons = [
        DarkReason(
            entry,
            a.dark[key],
            w.dark[key],
            0.5 * ((a.dark[key] - before) + (after - w.dark[key])) / whole,
        )
        for entry, a, w in zip(entries, alone, without, strict=True)
    ]
    kept = sorted((r for r in reasons if abs(r.share) >= _LEAST), key=lambda r: -abs(r.share))
    return evolve(one, dark_reasons=tuple(kept[:_REASONS]))


def _pairs(
    before: Assessment, after: Assessment
) -> list[tuple[str, IgniterOutcome, IgniterOutcome]]:
    return [
        (b.id, x, y)
        for a, b in zip(before.cues, after.cues, strict=True)
        for x, y in zip(a.meant, b.meant, strict=True)
    ]


def _lights(odds: OddsStudy | None, cue: str, igniter: int) -> Estimate | None:
    if odds is None:
        return None
    for c in odds.odds.cues:
        if c.id == cue:
            for i in c.igniters:
                if i.igniter == igniter:
                    failure = odds.failure_of(i)
                    return Estimate(1.0 - failure.value, 1.0 - failure.high, 1.0 - failure.low)
    return None


def _log_change(before: float | None, after: float | None) -> float | None:
    if before is None or after is None or before <= 0.0 or after <= 0.0:
        return None
    if not (math.isfinite(before) and math.isfinite(after)):
        return None
    return math.log(after / before)


def _explained(
    one: IgniterPrediction,
    entries: Sequence[ChangedEntry],
    alone: Sequence[_Tried],
    without: Sequence[_Tried],
) -> IgniterPrediction:
    """With the entries that moved it."""
    verdicts = {one.before.verdict, one.after.verdict}
    # Between no and marginal typical values decide; the worst corner does for all else.
    worst = verdicts != {Verdict.NO, Verdict.MARGINAL}

    def figure(outcome: IgniterOutcome | None) -> float | None:
        if outcome is None:
            return None
        return outcome.margin if worst else outcome.margin_typical

    whole = _log_change(figure(one.before), figure(one.after))
    if whole is None or abs(whole) < 1e-6:
        return evolve(one, worst=worst)
    key = one.cue, one.igniter
    reasons: list[Reason] = []
    for entry, a, w in zip(entries, alone, without, strict=True):
        by_itself, missing = figure(a.margins.get(key)), figure(w.margins.get(key))
        up = _log_change(figure(one.before), by_itself)
        down = _log_change(missing, figure(one.after))
        parts = [p for p in (up, down) if p is not None]
        if not parts:
            continue
        share = sum(parts) / len(parts) / whole
        if abs(share) >= _LEAST:
            reasons.append(Reason(entry, by_itself, missing, share))
    reasons.sort(key=lambda r: -abs(r.share))
    return evolve(one, worst=worst, reasons=tuple(reasons[:_REASONS]))


def _findings(
    before: Sequence[Finding], after: Sequence[Finding]
) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Findings about the show that are new, and those that are gone."""

    def name(f: Finding) -> tuple[object, ...]:
        # References to one thing differ by their kit.
        return f.code, f.path, tuple(s.rpartition(":")[2] for s in f.subjects[:2])

    old = {name(f): f for f in before if f.document == "show"}
    new = {name(f): f for f in after if f.document == "show"}
    return (
        tuple(f for k, f in new.items() if k not in old),
        tuple(f for k, f in old.items() if k not in new),
    )
