"""A question that a trial may help to answer, and what is thought of its answer now.

*Will it light?* has no certain answer: igniters differ. So the question is put as: *is the
probability that it lights at least so much?* Given what trials can tell of (classes, drums, kinds
of contact and box), that has a definite answer, and what is unsure of it is what trials can settle.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
from attrs import field, frozen

from bridgewire.bench.design.belief import Belief, filled, learnable
from bridgewire.bench.design.information import entropy_bits
from bridgewire.bench.forward import BenchModel, TrialModel
from bridgewire.bench.show_unknowns import ShowDraw, show_unknowns
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.timeline.outcomes import Assessment
from bridgewire.uncertainty.dependence import needed_for
from bridgewire.uncertainty.draws import run_plan
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.scatter import make_plan

FIRST_TRIES = 64
MOST_TRIES = 2048
"""Igniters drawn for each truth: first, and where the answer stays open."""
_DECIDED = 0.01
BLOCK = 65_536


class Question(Protocol):
    """Something that lights, or does not."""

    @property
    def text(self) -> str:
        """In words, without the question mark."""

    @property
    def keys(self) -> tuple[str, ...]:
        """What trials can tell of and that has a part in it."""

    def lights(self, belief: Belief, rows: Ints, rng: np.random.Generator) -> Bools:
        """Whether it lights, once for each of the rows, with fresh igniters each time."""


@frozen(eq=False)
class ShowQuestion:
    """Whether an igniter of a cue, or all that the cue means, lights in a show."""

    text: str
    plan: Plan
    draw: ShowDraw
    column: int | None
    """Of the igniter among those of the cue; None for all of them."""
    within_s: float | None

    @property
    def keys(self) -> tuple[str, ...]:
        """See `Question`."""
        return self.draw.keys

    def lights(self, belief: Belief, rows: Ints, rng: np.random.Generator) -> Bools:
        """See `Question`."""
        values = filled(self.keys, belief, rows, rng)
        (cue,) = run_plan(self.plan, self.draw.latent_z(values, rng)).cues
        light = cue.light_s if self.column is None else cue.light_s[:, [self.column]]
        limit = np.inf if self.within_s is None else self.within_s
        in_time = np.isfinite(light) & (light <= limit)
        return np.asarray(in_time.all(axis=1))


def show_question(
    assessment: Assessment, cue: int, igniter: int | None, within_s: float | None
) -> ShowQuestion:
    """Put a question about a cue of a show.

    Parameters
    ----------
    assessment : Assessment
        Of the show.
    cue : int
        Index of the cue. It must mean igniters that are on its way and can be computed.
    igniter : int or None
        Index of one of them; all of them where None.
    within_s : float or None
        From the switching of the cue; by the end of its last pulse where None.

    Returns
    -------
    ShowQuestion

    Raises
    ------
    ValueError
        If the cue cannot be computed, or does not mean the igniter.
    """
    layout = assessment.layout
    plan = make_plan(assessment, needed_for(assessment, cue), {cue})
    judged = [c for c in plan.cues if c.cue == cue]
    if not judged or not judged[0].igniters:
        raise ValueError("the cue lights nothing that can be computed")
    column = None
    who = "all that cue"
    name = layout.cues[cue].cue.id
    if igniter is not None:
        if igniter not in judged[0].igniters:
            raise ValueError("the cue does not light that igniter")
        column = judged[0].igniters.index(igniter)
        who = f"{layout.names[igniter]!r} of cue"
    text = f"{who} {name!r} light{'s' if igniter is not None else ''}"
    if igniter is None:
        text = f"all that cue {name!r} means light"
    text += " within its pulse" if within_s is None else f" within {within_s:g} s"
    return ShowQuestion(text, plan, ShowDraw(show_unknowns(plan, layout)), column, within_s)


@frozen(eq=False)
class BenchQuestion:
    """Whether an igniter lights in a shot of a trial, if that trial were made (again)."""

    text: str
    model: BenchModel
    """Of a record whose only trial it is."""
    shot: int
    column: int
    within_s: float | None

    @property
    def trial(self) -> TrialModel:
        """The trial."""
        return self.model.trials[0]

    @property
    def keys(self) -> tuple[str, ...]:
        """See `Question`."""
        return tuple(self.model.unknowns[n].key for n in learnable(self.model).tolist())

    def lights(self, belief: Belief, rows: Ints, rng: np.random.Generator) -> Bools:
        """See `Question`."""
        names = tuple(u.key for u in self.model.unknowns)
        outcome = self.trial.run(filled(names, belief, rows, rng))
        lit = outcome.level[:, self.shot, self.column] > 0.0
        limit = np.inf if self.within_s is None else self.within_s
        out: Bools = lit & (outcome.light_s[:, self.shot, self.column] <= limit)
        return out


@frozen(eq=False)
class Answer:
    """What is thought of the answer.

    Attributes
    ----------
    required : float
        Yes means: the probability that it lights is at least this.
    rate : array, shape (rows,)
        That probability in each draw of the belief, as far as it was worked out.
    yes : array, shape (rows,)
        Probability that it is enough.
    tried : int
        Igniters that were drawn.
    """

    required: float
    rate: Floats = field(repr=False)
    yes: Floats = field(repr=False)
    tried: int

    def probability(self, weight: Floats) -> float:
        """Probability of yes."""
        return float(weight @ self.yes)

    def lights(self, weight: Floats) -> float:
        """Probability that it lights, everything that is unsure counted."""
        return float(weight @ self.rate)

    def bits(self, weight: Floats) -> float:
        """How unsure the answer is, bits."""
        return entropy_bits(self.probability(weight))


def answer(question: Question, belief: Belief, required: float, rng: np.random.Generator) -> Answer:
    """Work out the answer in every draw of a belief.

    Parameters
    ----------
    question : Question
    belief : Belief
        Must cover the question's keys.
    required : float
        Above 0 and below 1.
    rng : Generator

    Returns
    -------
    Answer

    Raises
    ------
    ValueError
        If `required` is not between 0 and 1.

    Notes
    -----
    Igniters are drawn for each draw of the belief, more of them where it stays open whether the
    rate is enough. The probability of yes is that of a beta distribution above `required` (flat
    in the sense of Jeffreys).
    """
    from scipy.special import betainc

    if not 0.0 < required < 1.0:
        raise ValueError("required must be between 0 and 1")
    lit = np.zeros(belief.rows)
    tried = np.zeros(belief.rows)
    open_ = np.arange(belief.rows)
    yes = np.full(belief.rows, 0.5)
    tries = FIRST_TRIES
    while open_.size and tries <= MOST_TRIES:
        more = tries - int(tried[open_[0]])
        size = max(BLOCK // more, 1)
        for start in range(0, open_.size, size):
            part = open_[start : start + size]
            seen = question.lights(belief, np.repeat(part, more), rng)
            lit[part] += seen.reshape(part.size, more).sum(axis=1)
        tried[open_] = tries
        yes[open_] = 1.0 - betainc(lit[open_] + 0.5, tries - lit[open_] + 0.5, required)
        open_ = np.flatnonzero((yes > _DECIDED) & (yes < 1.0 - _DECIDED) & (tried == tries))
        tries *= 2
    return Answer(required, lit / tried, np.clip(yes, 0.0, 1.0), int(tried.sum()))


def log_odds(answer: Answer) -> Floats:
    """The rate on a scale without ends, for correlations."""
    out: Floats = np.clip(answer.rate, 1e-4, 1.0 - 1e-4)
    return np.log(out / (1.0 - out))
