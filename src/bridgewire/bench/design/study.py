"""What to try next, from a record and a question to a ranking: all that a report needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import evolve, field, frozen

from bridgewire.bench.calibration.posterior import Posterior
from bridgewire.bench.design.asking import Asked, catalogue_of, refused
from bridgewire.bench.design.belief import Belief
from bridgewire.bench.design.candidates import Candidate, make_candidates
from bridgewire.bench.design.outcomes import way_of_seeing
from bridgewire.bench.design.rank import Progress, Ranking, compile_candidates, rank_trials
from bridgewire.bench.unknown_words import words_of
from bridgewire.bench.wiring import LoadedRecord
from bridgewire.errors import InputError
from bridgewire.physics.laws import Models

ROWS = 500
"""Draws of the belief."""
CERTAINTY = 0.95
"""From this probability on an answer counts as found."""


@frozen(eq=False)
class NextStudy:
    """What to try next.

    Attributes
    ----------
    loaded : LoadedRecord
    ranking : Ranking
    certainty : float
    posterior : Posterior or None
        None where the record has no shots: the kits alone are believed.
    notes : tuple of str
        What was left out, and why.
    untried : tuple of str
        Unknowns of the question that no trial of the record has touched.
    """

    loaded: LoadedRecord
    ranking: Ranking
    certainty: float
    posterior: Posterior | None = field(repr=False)
    notes: tuple[str, ...] = ()
    untried: tuple[str, ...] = ()

    @property
    def settled(self) -> bool:
        """Whether the answer is known well enough already."""
        p = self.ranking.probability
        return max(p, 1.0 - p) >= self.certainty

    @property
    def trusted(self) -> bool:
        """Whether the draws that it rests on can be trusted."""
        return self.posterior is None or self.posterior.diagnostics.good

    def cautions(self) -> Iterator[str]:
        """What to know before anything is built on this, one sentence each."""
        if self.posterior is None:
            yield "The record has no shots yet: only the kit profiles speak."
        elif not self.posterior.diagnostics.good:
            yield self.posterior.diagnostics.caution
        if self.untried and self.posterior is not None:
            names = ", ".join(dict.fromkeys(words_of(k) for k in self.untried))
            yield f"No trial has touched: {names}. Of these only the kit profiles speak."
        yield from self.notes
        yield (
            "Bits are an expectation over the kit profiles and the trials so far; a trial may tell "
            "more or less, or that a profile is wrong. Readings of resistance are not counted."
        )
        yield (
            "The question is about the kit that was tried and its batches, at the temperatures "
            "stated. It is no verdict on an article, and no permission to fire."
        )


def study_next(
    loaded: LoadedRecord,
    asked: Asked,
    posterior: Posterior | None,
    *,
    required: float,
    certainty: float = CERTAINTY,
    candidates: Sequence[Candidate] | None = None,
    rows: int = ROWS,
    seed: int = 1,
    models: Models | None = None,
    progress: Progress | None = None,
) -> NextStudy:
    """Rank trials.

    Parameters
    ----------
    loaded : LoadedRecord
    asked : Asked
        From `ask_show` or `ask_bench`.
    posterior : Posterior or None
        Of the record; None where it has no shots.
    required : float
        The answer is yes where the probability of lighting is at least this.
    certainty : float
    candidates : sequence of Candidate, optional
        Trials to choose from; made from the kit where absent.
    rows : int
        Draws of the belief.
    seed : int
    models : Models, optional
        Of plugins.
    progress : callable, optional

    Returns
    -------
    NextStudy

    Raises
    ------
    InputError
        If no candidate can be computed.
    """
    notes = list(asked.remarks)
    if candidates is None:
        candidates, more = make_candidates(asked.means, loaded.record, catalogue_of(loaded))
        notes += more
    tried, missing = compile_candidates(candidates, loaded, models, progress)
    if not tried:
        why = refused("no trial can be made with what the kits state", "bench")
        raise InputError((*missing, evolve(why, remedy="; ".join(notes))))
    belief = Belief.of_kits(rows) if posterior is None else Belief.of_posterior(posterior, rows)
    ranking = rank_trials(
        asked.question,
        belief,
        tried,
        required=required,
        seen_as=way_of_seeing(loaded.record),
        seed=seed,
        missing=missing,
        progress=progress,
    )
    known = set(belief.keys)
    untried = tuple(k for k in asked.question.keys if k not in known)
    return NextStudy(loaded, ranking, certainty, posterior, tuple(notes), untried)
