"""The odds of a show as the page shows them."""

from __future__ import annotations

from attrs import frozen

from bridgewire.report.figures import number
from bridgewire.report.odds_text import LIMITS, probability, with_interval
from bridgewire.report.plain_text import count
from bridgewire.uncertainty.intervals import Estimate
from bridgewire.uncertainty.study import OddsStudy
from bridgewire.units import seconds

ROWS = 10
"""Igniters in the table of the weakest."""


@frozen
class WeakIgniter:
    """An igniter that is likelier to fail than others."""

    cue: str
    igniter: str
    fails: str
    short: bool
    """Below what the show requires."""
    rests_on: tuple[tuple[str, str], ...]
    """Group of causes with its share, and what to measure."""


@frozen
class OddsView:
    """The odds of a show."""

    how: str
    rows: tuple[tuple[str, str], ...]
    weakest: tuple[WeakIgniter, ...]
    together: tuple[tuple[str, str], ...]
    limits: tuple[str, ...]


def odds_view(study: OddsStudy) -> OddsView:
    """Arrange the odds of a show.

    Parameters
    ----------
    study : OddsStudy
    """
    odds = study.odds
    rows = [
        ("no igniter left unlit", with_interval(odds.no_unlit)),
        ("every cue lights all it means", with_interval(odds.every_cue)),
        ("igniters left unlit on average", f"{number(odds.unlit.value)} of {odds.igniters}"),
    ]
    if study.required is not None:
        met = "not met by every igniter" if study.below_required else "met"
        rows.append(("required of each igniter", f"{probability(study.required)}: {met}"))
    if odds.never:
        rows.append(("reached by no cue", _listing(odds.never)))
    if odds.unknown:
        rows.append(("not computed, in none of these figures", _listing(odds.unknown)))
    if odds.taken_as_exact:
        text = "without a stated tolerance, so taken as exact, which may be too good: some of "
        rows.append(("taken as exact", text + ", ".join(odds.taken_as_exact)))
    rows += [("model that failed", f"{f.model}: {f.text}") for f in odds.faults]
    how = (
        f"{count(odds.draws, 'draw')}, seed {odds.seed}; the ends of a band lie "
        f"{number(study.band_sigma)} standard deviations from its typical value; intervals hold "
        "at 95 %"
    )
    asked = sorted(
        (c for c in odds.cues if c.together is not None and c.spread_s is not None),
        key=lambda c: c.together.value if c.together is not None else 1.0,
    )
    together = tuple(
        (c.id, f"all lit within {seconds(c.spread_s or 0.0)}: {with_interval(c.together)}")
        for c in asked[:5]
        if c.together is not None
    )
    return OddsView(how, tuple(rows), _weakest(study), together, LIMITS)


def _weakest(study: OddsStudy) -> tuple[WeakIgniter, ...]:
    names = {c.cue: c.id for c in study.odds.cues}
    closer = {(r.cue, r.igniter): r for r in study.closer}
    found: list[WeakIgniter] = []
    for i in study.weakest()[:ROWS]:
        estimate: Estimate = study.failure_of(i)
        ranking = closer.get((i.cue, i.igniter))
        groups = () if ranking is None else ranking.groups[:3]
        found.append(
            WeakIgniter(
                names[i.cue],
                i.id,
                with_interval(estimate),
                study.required is not None and 1.0 - estimate.value < study.required,
                tuple((f"{g.group} {round(100 * g.share)} %", g.advice) for g in groups),
            )
        )
    return tuple(found)


def _listing(names: tuple[str, ...]) -> str:
    more = f" and {len(names) - ROWS} more" if len(names) > ROWS else ""
    return ", ".join(names[:ROWS]) + more
