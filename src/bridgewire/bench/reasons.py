"""Which kit entries moved a prediction: the show with mixed kits.

Between the kit as it was and the kit that trials have taught stand kits of which only one entry (a
class, a cable, a box ...) is the new one, and kits of which all but one are. The first tells what
an entry does by itself, the second what is missing without it. Where the two differ entries work
together, and neither is the whole truth: that is a plain one-at-a-time comparison, no analysis of
variance.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from bridgewire.bench.kit_changes import ChangedEntry, mixed_kit
from bridgewire.bench.prediction import (
    LEAST_DARK,
    DarkReason,
    IgniterPrediction,
    Reason,
    Side,
    log_change,
)
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.model.kit import Kit
from bridgewire.physics.laws import Models
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import IgniterOutcome, Verdict
from bridgewire.uncertainty.odds import show_odds

MOST_DRAWS = 4000
"""Draws with which odds are explained, at most."""
MOST_REASONS = 3
_LEAST = 0.1
"""Entries that move the figure by less than this part of the whole are not named."""


@frozen
class Tried:
    """A show with some entries as they were."""

    margins: Mapping[tuple[str, str], IgniterOutcome]
    dark: Mapping[tuple[str, str], float]
    """Probability of staying unlit, by cue and igniter."""


@frozen(eq=False)
class Mix:
    """Tries the show with mixed kits."""

    after: Side
    kit: Kit
    models: Models | None
    odds_of: frozenset[str]
    """Cues of which odds are wanted."""

    def tried(self, as_before: Sequence[ChangedEntry]) -> Tried:
        """The show with some entries as they were."""
        layout = self.after.layout
        kits = {
            **layout.catalogue.kits,
            self.kit.id: mixed_kit(self.kit, as_before),
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
        return Tried(margins, dark)


def explained(
    one: IgniterPrediction,
    entries: Sequence[ChangedEntry],
    alone: Sequence[Tried],
    without: Sequence[Tried],
) -> IgniterPrediction:
    """The same with the entries that moved its margin.

    Parameters
    ----------
    one : IgniterPrediction
    entries : sequence of ChangedEntry
    alone, without : sequence of Tried
        For each entry: only it as trials have it, and all but it.
    """
    verdicts = {one.before.verdict, one.after.verdict}
    # Between no and marginal typical values decide; the worst corner does for all else.
    worst = verdicts != {Verdict.NO, Verdict.MARGINAL}

    def figure(outcome: IgniterOutcome | None) -> float | None:
        if outcome is None:
            return None
        return outcome.margin if worst else outcome.margin_typical

    whole = log_change(figure(one.before), figure(one.after))
    if whole is None or abs(whole) < 1e-6:
        return evolve(one, worst=worst)
    key = one.cue, one.igniter
    reasons: list[Reason] = []
    for entry, a, w in zip(entries, alone, without, strict=True):
        by_itself, missing = figure(a.margins.get(key)), figure(w.margins.get(key))
        up = log_change(figure(one.before), by_itself)
        down = log_change(missing, figure(one.after))
        parts = [p for p in (up, down) if p is not None]
        if not parts:
            continue
        share = sum(parts) / len(parts) / whole
        if abs(share) >= _LEAST:
            reasons.append(Reason(entry, by_itself, missing, share))
    reasons.sort(key=lambda r: -abs(r.share))
    return evolve(one, worst=worst, reasons=tuple(reasons[:MOST_REASONS]))


def odds_explained(
    one: IgniterPrediction,
    entries: Sequence[ChangedEntry],
    alone: Sequence[Tried],
    without: Sequence[Tried],
    ends: tuple[Tried, Tried],
) -> IgniterPrediction:
    """The same with the entries that moved its probability of staying unlit.

    Parameters
    ----------
    one, entries, alone, without
        As for `explained`.
    ends : tuple of Tried
        With all entries as before, and with all as trials have them.
    """
    key = one.cue, one.igniter
    before, after = (end.dark.get(key) for end in ends)
    if not one.odds_moved or before is None or after is None or abs(after - before) < LEAST_DARK:
        return one
    reasons: list[DarkReason] = []
    for entry, a, w in zip(entries, alone, without, strict=True):
        by_itself, missing = a.dark.get(key), w.dark.get(key)
        # Unknown where the kit as it was lacks a value that the entry states.
        if by_itself is None or missing is None:
            continue
        share = 0.5 * ((by_itself - before) + (after - missing)) / (after - before)
        if abs(share) >= _LEAST:
            reasons.append(DarkReason(entry, by_itself, missing, share))
    kept = sorted(reasons, key=lambda r: -abs(r.share))
    return evolve(one, dark_reasons=tuple(kept[:MOST_REASONS]))
