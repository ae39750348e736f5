"""The odds of a show, with a closer look at its weakest igniters."""

from __future__ import annotations

from attrs import frozen

from bridgewire.timeline.outcomes import Assessment
from bridgewire.uncertainty.intervals import Estimate
from bridgewire.uncertainty.odds import DRAWS, Progress, show_odds
from bridgewire.uncertainty.odds_figures import IgniterOdds, ShowOdds
from bridgewire.uncertainty.sensitivity import CauseRanking, rank_causes
from bridgewire.uncertainty.shares import band_sigma

CLOSER = 5
"""Igniters that are looked at closely."""


@frozen
class OddsStudy:
    """Odds of one show.

    Attributes
    ----------
    title : str
    cue : str or None
        The cue to which the study is confined.
    band_sigma : float
        How bands were read.
    odds : ShowOdds
    closer : tuple of CauseRanking
        The weakest igniters, weakest first.
    required : float or None
        Least probability that the show asks for.
    """

    title: str
    cue: str | None
    band_sigma: float
    odds: ShowOdds
    closer: tuple[CauseRanking, ...]
    required: float | None

    def __repr__(self) -> str:
        odds = self.odds
        none = odds.no_unlit
        return (
            f"<OddsStudy {self.title!r}: {odds.draws} draws, {odds.igniters} igniters; "
            f"none unlit: {none.value:.4g} (95 %: {none.low:.4g} to {none.high:.4g}); "
            f"{odds.unlit.value:.3g} unlit on average>"
        )

    def weakest(self) -> list[IgniterOdds]:
        """Igniters under their cues, most likely to fail first."""
        every = [i for c in self.odds.cues for i in c.igniters]
        return sorted(every, key=lambda i: (-i.failures, i.distance, i.cue, i.igniter))

    def failure_of(self, igniter: IgniterOdds) -> Estimate:
        """Probability that an igniter fails: sampled closely where that was done, else drawn."""
        for ranking in self.closer:
            if (ranking.cue, ranking.igniter) == (igniter.cue, igniter.igniter):
                low, high = ranking.failure.interval
                if igniter.failures == 0 and high < 1.0:
                    return Estimate(ranking.failure.probability, low, high)
        lights = igniter.lights
        return Estimate(1.0 - lights.value, 1.0 - lights.high, 1.0 - lights.low)

    @property
    def below_required(self) -> bool:
        """Whether some igniter falls short of the required probability, or is unknown."""
        if self.required is None:
            return False
        if self.odds.unknown or self.odds.never or self.odds.faults:
            return True
        return any(1.0 - self.failure_of(i).value < self.required for i in self.weakest())


def study_odds(
    assessment: Assessment,
    *,
    cue: int | None = None,
    draws: int = DRAWS,
    seed: int = 1,
    workers: int = 1,
    closer: int = CLOSER,
    progress: Progress | None = None,
) -> OddsStudy:
    """Compute the odds of a show.

    Parameters
    ----------
    assessment : Assessment
    cue : int, optional
        A cue (by index) to which to confine it.
    draws, seed, workers
        See `bridgewire.uncertainty.odds.show_odds`.
    closer : int
        How many igniters, the weakest, to look at closely.
    progress : callable, optional

    Returns
    -------
    OddsStudy
    """
    odds = show_odds(
        assessment,
        draws=draws,
        seed=seed,
        workers=workers,
        only_cues=None if cue is None else {cue},
        progress=progress,
    )
    show = assessment.layout.show
    study = OddsStudy(
        show.title,
        None if cue is None else assessment.cues[cue].id,
        band_sigma(assessment.layout),
        odds,
        (),
        show.requirements.reliability,
    )
    rankings = tuple(
        rank_causes(assessment, i.cue, i.igniter, seed=seed) for i in study.weakest()[:closer]
    )
    return OddsStudy(study.title, study.cue, study.band_sigma, odds, rankings, study.required)
