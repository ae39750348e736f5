"""Ranks trials by what they are expected to tell about a question, for each igniter spent.

Every candidate is fired in every draw of the belief, with fresh igniters and its own cables, and
seen as the record's people see. A first look with few outcomes leaves the better ones; these are
looked at anew with many fresh outcomes, so that what was luck in the first look does not count.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from attrs import evolve, frozen

from bridgewire.bench.calibration.simulated import Design, simulate_trial
from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.design.belief import Belief, filled, learnable
from bridgewire.bench.design.candidates import Candidate
from bridgewire.bench.design.information import (
    Information,
    difference_se,
    information,
    told_shares,
)
from bridgewire.bench.design.outcomes import Outcomes, sort_outcomes
from bridgewire.bench.design.question import Answer, Question, answer, log_odds
from bridgewire.bench.forward import BenchModel
from bridgewire.bench.wiring import LoadedRecord, resolve_record
from bridgewire.diagnostics import Finding
from bridgewire.errors import InputError
from bridgewire.physics.laws import Models
from bridgewire.physics.network import Bools, Floats

FIRST_LOOK = 2
"""Outcomes drawn for each draw of the belief in the first look,"""
SECOND_LOOK = 16
"""and in the second."""
FINALISTS = 40
TIED_SE = 2.0
"""A difference of fewer standard errors than this is a tie."""
TOLD = 3
"""Unknowns named as a reason."""
_LEAST_SHARE = 0.01

Progress = Callable[[int, int], None]


@frozen
class Reason:
    """An unknown that a trial informs.

    Attributes
    ----------
    key : str
    share : float
        Part of its variance that the outcome takes away, 0 to 1.
    bearing : float
        Correlation of the unknown with the log odds of lighting in question, -1 to 1.
    """

    key: str
    share: float
    bearing: float


@frozen(eq=False)
class Ranked:
    """A candidate with what it is expected to tell.

    Attributes
    ----------
    candidate : Candidate
    gain : Information
        For the whole trial, in bits.
    all_light, none_light : float
        Probability that all of its igniters light, and that none does.
    reasons : tuple of Reason
        Most to the point first.
    tied : bool
        Whether it cannot be told from the best by the draws that were made.
    """

    candidate: Candidate
    gain: Information
    all_light: float
    none_light: float
    reasons: tuple[Reason, ...]
    tied: bool = False

    @property
    def bits(self) -> float:
        """Expected gain of the whole trial; never below 0."""
        return max(self.gain.bits, 0.0)

    @property
    def per_igniter(self) -> float:
        """Bits for each igniter spent."""
        return self.bits / self.candidate.igniters

    @property
    def per_igniter_se(self) -> float:
        """Its standard error."""
        return self.gain.se / self.candidate.igniters


@frozen(eq=False)
class Ranking:
    """All that is known of what to try next.

    Attributes
    ----------
    question : Question
    belief : Belief
    answer : Answer
    ranked : tuple of Ranked
        Best for each igniter first.
    looked_at : int
        Candidates in all.
    missing : tuple of Finding
        Why candidates could not be computed.
    seen_as : Design
        What people are taken to write down.
    """

    question: Question
    belief: Belief
    answer: Answer
    ranked: tuple[Ranked, ...]
    looked_at: int
    missing: tuple[Finding, ...]
    seen_as: Design

    @property
    def probability(self) -> float:
        """Probability that the answer is yes."""
        return self.answer.probability(self.belief.weight)

    @property
    def open_bits(self) -> float:
        """How unsure the answer is."""
        return self.answer.bits(self.belief.weight)

    @property
    def telling(self) -> tuple[Ranked, ...]:
        """Candidates whose gain is clearly above nothing."""
        return tuple(r for r in self.ranked if r.gain.bits > TIED_SE * r.gain.se)


@frozen(eq=False)
class Tried:
    """A candidate's model, ready to be fired in draws of a belief."""

    candidate: Candidate
    model: BenchModel

    @property
    def keys(self) -> tuple[str, ...]:
        """What it can tell of."""
        return tuple(self.model.unknowns[n].key for n in learnable(self.model).tolist())

    def kinds(
        self, belief: Belief, each: int, seen_as: Design, rng: np.random.Generator
    ) -> tuple[Outcomes, Bools]:
        """Draw outcomes in every draw of a belief, `each` of the first draw first.

        Parameters
        ----------
        belief : Belief
        each : int
            Outcomes for each draw.
        seen_as : Design
        rng : Generator

        Returns
        -------
        Outcomes
        array, shape (draws times each, igniters that are fired)
            Which are seen lit.
        """
        rows = np.repeat(np.arange(belief.rows), each)
        names = tuple(u.key for u in self.model.unknowns)
        outcome = self.model.trials[0].run(filled(names, belief, rows, rng))
        data = simulate_trial(self.model, 0, outcome, seen_as, rng)
        fired = self.model.trials[0].fired
        lit = np.asarray(data.lit.any(axis=1))[:, fired]
        return sort_outcomes(data, alike=self.candidate.alike), lit

    def outcomes(
        self, belief: Belief, each: int, seen_as: Design, rng: np.random.Generator
    ) -> tuple[Floats, float, float]:
        """Count kinds of outcome in every draw of a belief.

        Parameters are those of `kinds`.

        Returns
        -------
        array, shape (draws, kinds)
        float, float
            Probability that all igniters light, and that none does.
        """
        kinds, lit = self.kinds(belief, each, seen_as, rng)
        weight = np.repeat(belief.weight / each, each)
        everyone = float(weight @ lit.all(axis=1))
        nobody = float(weight @ ~lit.any(axis=1))
        rows = np.repeat(np.arange(belief.rows), each)
        return kinds.counts(rows, belief.rows), everyone, nobody


def compile_candidates(
    candidates: Sequence[Candidate],
    loaded: LoadedRecord,
    models: Models | None = None,
    progress: Progress | None = None,
) -> tuple[tuple[Tried, ...], tuple[Finding, ...]]:
    """Make models of candidates.

    Parameters
    ----------
    candidates : sequence of Candidate
    loaded : LoadedRecord
        Its kits, wirings, meter and site are those of the candidates.
    models : Models, optional
        Of plugins.
    progress : callable, optional

    Returns
    -------
    tuple of Tried
        Those that can be computed.
    tuple of Finding
        What the others lack, each thing once.
    """
    tried: list[Tried] = []
    lacking: dict[tuple[str, str], Finding] = {}
    for n, candidate in enumerate(candidates):
        record = evolve(loaded.record, trial=(candidate.trial,), results=None)
        try:
            one = resolve_record(loaded.file, record, loaded.document, loaded.kits, models)
            model = compile_record(one)
        except InputError as error:
            for f in error.findings:
                # The record has neither a place nor a name for a trial that is not in it.
                what = f.message.split(", so that trial")[0]
                lacking.setdefault((f.code, what), evolve(f, message=what, path=(), location=None))
            continue
        if model.trials:
            tried.append(Tried(candidate, model))
        if progress is not None:
            progress(n + 1, 2 * len(candidates))
    return tuple(tried), tuple(lacking.values())


def rank_trials(
    question: Question,
    belief: Belief,
    tried: Sequence[Tried],
    *,
    required: float,
    seen_as: Design,
    seed: int = 1,
    finalists: int = FINALISTS,
    looks: tuple[int, int] = (FIRST_LOOK, SECOND_LOOK),
    missing: Sequence[Finding] = (),
    progress: Progress | None = None,
) -> Ranking:
    """Rank candidates by expected information for each igniter.

    Parameters
    ----------
    question : Question
    belief : Belief
    tried : sequence of Tried
        From `compile_candidates`.
    required : float
        The answer is yes where the probability of lighting is at least this.
    seen_as : Design
        What people write down, see `bridgewire.bench.design.outcomes.way_of_seeing`.
    seed : int
    finalists : int
        Candidates that are looked at closely.
    looks : tuple of int
        Outcomes for each draw of the belief: in the first look and in the second.
    missing : sequence of Finding
        Handed on.
    progress : callable, optional

    Returns
    -------
    Ranking
    """
    rng = np.random.default_rng((seed, 301))
    keys = [*question.keys, *(k for t in tried for k in t.keys)]
    belief = belief.covering(keys, rng)
    found = answer(question, belief, required, rng)
    total = len(tried) + min(finalists, len(tried))
    first: list[tuple[float, Tried]] = []
    for n, one in enumerate(tried):
        counts, _, _ = one.outcomes(belief, looks[0], seen_as, rng)
        gain = information(counts, found.yes, belief.weight)
        # What is not sure yet gets the benefit of the doubt.
        first.append(((gain.bits + gain.se) / one.candidate.igniters, one))
        if progress is not None:
            progress(total + n + 1, 2 * total)
    first.sort(key=lambda f: -f[0])
    ranked: list[Ranked] = []
    for n, (_, one) in enumerate(first[:finalists]):
        counts, everyone, nobody = one.outcomes(belief, looks[1], seen_as, rng)
        gain = information(counts, found.yes, belief.weight)
        reasons = _reasons(counts, belief, found, question.keys)
        ranked.append(Ranked(one.candidate, gain, everyone, nobody, reasons))
        if progress is not None:
            progress(total + len(tried) + n + 1, 2 * total)
    ranked.sort(key=lambda r: (-r.per_igniter, r.candidate.igniters, r.candidate.cable_m))
    return Ranking(
        question,
        belief,
        found,
        with_ties(ranked, belief.weight),
        len(tried),
        tuple(missing),
        seen_as,
    )


def with_ties(ranked: Sequence[Ranked], weight: Floats) -> tuple[Ranked, ...]:
    """Mark those that cannot be told from the first.

    Parameters
    ----------
    ranked : sequence of Ranked
        Best first.
    weight : array
        Of the belief.
    """
    if not ranked:
        return ()
    best = ranked[0]

    def each(r: Ranked) -> Information:
        return evolve(r.gain, influence=r.gain.influence / r.candidate.igniters)

    def close(r: Ranked) -> bool:
        off = best.per_igniter - r.per_igniter
        return off <= TIED_SE * difference_se(each(best), each(r), weight)

    return tuple(evolve(r, tied=r is best or close(r)) for r in ranked)


def _reasons(
    counts: Floats, belief: Belief, found: Answer, bears: Sequence[str]
) -> tuple[Reason, ...]:
    """Unknowns of the question of which the outcome tells most, as far as they bear on it."""
    wanted = set(bears)
    places = [n for n, k in enumerate(belief.keys) if k in wanted]
    if not places:
        return ()
    values = belief.values[:, places]
    shares = told_shares(counts, values, belief.weight)
    bearing = correlations(values, log_odds(found), belief.weight)
    order = np.argsort(-shares * bearing**2)[:TOLD]
    return tuple(
        Reason(belief.keys[places[n]], float(shares[n]), float(bearing[n]))
        for n in order.tolist()
        if shares[n] >= _LEAST_SHARE
    )


def correlations(values: Floats, y: Floats, weight: Floats) -> Floats:
    """Correlation of each column with `y`; 0 where either does not vary."""
    x = values - weight @ values
    y = y - float(weight @ y)
    across = weight @ (x * y[:, None])
    size = np.sqrt((weight @ (x * x)) * float(weight @ (y * y)))
    with np.errstate(divide="ignore", invalid="ignore"):
        out: Floats = np.where(size > 1e-12, across / size, 0.0)
    return out
