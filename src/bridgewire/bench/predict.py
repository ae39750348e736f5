"""Compares a show before and after trials."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bridgewire.bench.kit_changes import ChangedEntry, changed_entries
from bridgewire.bench.prediction import IgniterPrediction, Prediction, Side
from bridgewire.bench.reasons import Mix, Tried, explained, odds_explained
from bridgewire.diagnostics import Finding
from bridgewire.model.kit import Kit
from bridgewire.physics.laws import Models
from bridgewire.timeline.outcomes import Assessment, IgniterOutcome
from bridgewire.uncertainty.intervals import Estimate
from bridgewire.uncertainty.study import OddsStudy

Progress = Callable[[int, int], None]


def predict(
    file: str,
    kit: Kit,
    before: Side,
    after: Side,
    *,
    models: Models | None = None,
    samples: bool = False,
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
    samples : bool
        Whether the kit says how its values go together; handed on.
    notes : sequence of str
        Handed on.
    progress : callable, optional
        Called with entries tried, and their number.

    Returns
    -------
    Prediction
    """
    entries = changed_entries(before.layout, kit)
    found = [
        IgniterPrediction(
            cue,
            new.id,
            old,
            new,
            _lights(before.odds, cue, new.igniter),
            _lights(after.odds, cue, new.igniter),
        )
        for cue, old, new in _pairs(before.assessment, after.assessment)
    ]
    if entries and any(i.moved for i in found):
        wanted = frozenset(i.cue for i in found if i.odds_moved)
        mix = Mix(after, kit, models, wanted)
        found = _with_reasons(found, entries, mix, progress)
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
        samples,
        tuple(notes),
    )


def _with_reasons(
    found: Sequence[IgniterPrediction],
    entries: Sequence[ChangedEntry],
    mix: Mix,
    progress: Progress | None,
) -> list[IgniterPrediction]:
    alone: list[Tried] = []
    without: list[Tried] = []
    for n, entry in enumerate(entries):
        alone.append(mix.tried([e for e in entries if e is not entry]))
        without.append(mix.tried([entry]))
        if progress is not None:
            progress(n + 1, len(entries))
    out = [explained(i, entries, alone, without) if i.moved else i for i in found]
    if mix.odds_of:
        # Without samples on both sides, so that entries alone are compared.
        ends = mix.tried(entries), mix.tried([])
        out = [odds_explained(i, entries, alone, without, ends) for i in out]
    return out


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
