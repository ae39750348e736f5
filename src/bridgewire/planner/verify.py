"""The check of a whole plan, and what it teaches where it is not good enough."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence

from attrs import define, evolve, frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.documents.problems import Problem as DocumentProblem
from bridgewire.documents.structure import structure
from bridgewire.model.show import Show
from bridgewire.planner.building import Built, Fired
from bridgewire.planner.clock import Clock, OutOfTimeError
from bridgewire.planner.demands import breaks_demand
from bridgewire.planner.electrics import Electrics
from bridgewire.planner.placing import Pair
from bridgewire.planner.problem import Problem
from bridgewire.remedies.case import Case, Trial
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import LoadedRule, all_rules
from bridgewire.timeline.outcomes import CueOutcome, Verdict
from bridgewire.uncertainty.study import study_odds

LEAST_DRAWS, MOST_DRAWS = 1000, 10_000
FAILURES = 4.0
"""So many draws are made that a plan that just falls short would show so many failures."""


@frozen
class Miss:
    """Something that a plan misses.

    Attributes
    ----------
    words : str
        A sentence without a full stop.
    cue : str or None
        Id of the cue in the show, where it is about one.
    """

    words: str
    cue: str | None = None


@frozen
class Learned:
    """What a failed check taught.

    Attributes
    ----------
    refused : bool
        Whether a circuit that was thought sure is not.
    parted : bool
        Whether cues were found that may not share a box.
    exact : bool
        Whether all that this shuts out does fail.
    """

    refused: bool
    parted: bool
    exact: bool


@define(eq=False)
class Verified:
    """A plan, checked.

    Attributes
    ----------
    built : Built
    trial : Trial
    misses : tuple of Miss
        Empty where every cue is sure and every requirement is met.
    caveats : tuple of str
        Warnings that break no requirement, in short; what the draws left open.
    """

    built: Built
    trial: Trial
    misses: tuple[Miss, ...]
    caveats: tuple[str, ...] = ()


def verify(problem: Problem, built: Built, rules: Sequence[LoadedRule] = ()) -> Verified:
    """Check a plan as `bridgewire check` would."""
    wrong: list[DocumentProblem] = []
    show = structure(built.data, Show, wrong)
    assert show is not None, wrong
    case = Case(show, built.data, problem.catalogue, problem.models, rules)
    trial = case.as_written
    misses = [
        Miss(f"{f.code}: {f.message}", _cue_of(f, trial))
        for f in trial.findings
        if breaks_demand(f, problem.site.requirements)
    ]
    named = {m.cue for m in misses}
    for cue in trial.assessment.cues:
        if cue.verdict is not Verdict.SURE and cue.id not in named:
            word = cue.verdict.value if cue.verdict is not None else "without igniters"
            misses.append(Miss(f"cue {cue.id!r} is {word}", cue.id))
    misses += _spreads(problem, built, trial)
    return Verified(built, trial, tuple(misses), _caveats(trial, problem))


def _caveats(trial: Trial, problem: Problem) -> tuple[str, ...]:
    """How many warnings of each rule the check has beside."""
    left = Counter(
        f.code
        for f in trial.findings
        if f.severity is Severity.WARNING and not breaks_demand(f, problem.site.requirements)
    )
    return tuple(
        f"{code}: {n} warning{'s' if n != 1 else ''} in the check; 'bridgewire check' says more"
        for code, n in sorted(left.items())
    )


def judge_odds(problem: Problem, checked: Verified, seed: int, clock: Clock) -> Verified:
    """Compute the odds of a plan that is good otherwise, where the site asks for reliability.

    Parameters
    ----------
    problem : Problem
    checked : Verified
    seed : int
        Of the draws.
    clock : Clock
        Where the time is up before all draws are made, that is what the plan misses.
    """
    required = problem.site.requirements.reliability
    if required is None:
        return checked

    def look(done: int, whole: int) -> None:
        clock.look()

    enough = FAILURES / max(1.0 - required, FAILURES / MOST_DRAWS)
    draws = max(LEAST_DRAWS, math.ceil(enough))
    try:
        study = study_odds(checked.trial.assessment, draws=draws, seed=seed, progress=look)
    except OutOfTimeError:
        miss = Miss("the reliability is not known: the time was up before its odds were computed")
        return evolve(checked, misses=(*checked.misses, miss))
    context = Context(checked.trial.assessment, odds=study)
    rules = [r for r in all_rules() if r.rule.code in ("FIR014", "FIR015")]
    findings, _ = run_rules(context, rules)
    misses = [
        Miss(f"{f.code}: {f.message}", _cue_of(f, checked.trial))
        for f in findings
        if f.severity is Severity.ERROR
    ]
    caveats = tuple(f"{f.code}: {f.message}" for f in findings if f.severity is Severity.WARNING)
    return evolve(checked, misses=(*checked.misses, *misses), caveats=(*checked.caveats, *caveats))


def learn(
    checked: Verified,
    electrics: Electrics,
    groups: Mapping[int, int],
    apart: set[Pair],
    limits: dict[int, int],
) -> Learned:
    """Take from a failed check what must not be done again.

    Parameters
    ----------
    checked : Verified
    electrics : Electrics
        Is told of circuits that are not sure.
    groups : mapping of int to int
        Group of each cue.
    apart : set of (int, int)
        Gets pairs of cues that may not be fired from one box.
    limits : dict of int to int
        Gets, by group, how many parts of a cue may be fired from one box.
    """
    fired = {f.id: f for f in checked.built.fired}
    outcomes = checked.trial.cues
    refused = parted = False
    exact = True
    for miss in checked.misses:
        cue = fired.get(miss.cue or "")
        if cue is None:
            continue
        electrics.judge.ask([(cue.circuit, cue.pulse_s)])
        if not electrics.judge.answers[cue.circuit, cue.pulse_s].good:
            electrics.refuse(cue.circuit, cue.pulse_s, exact=True)
            refused = True
            continue
        twins = _twins(cue, checked)
        if twins > 1:
            if limits.get(groups[cue.cue], twins) >= twins:
                limits[groups[cue.cue]] = twins - 1
                parted = True
            exact = False
            continue
        rivals = _rivals(cue, fired, outcomes)
        new = {(min(cue.cue, r), max(cue.cue, r)) for r in rivals} - apart
        exact = False
        if new:
            apart |= new
            parted = True
        else:
            electrics.refuse(cue.circuit, cue.pulse_s, exact=False)
            refused = True
    return Learned(refused, parted, exact)


def _twins(cue: Fired, checked: Verified) -> int:
    """How many parts of a cue are fired from the box that fires this one."""
    outcomes = checked.trial.cues
    ways = [outcomes[f.id].way for f in checked.built.fired if f.cue == cue.cue]
    mine = outcomes[cue.id].way
    return sum(w is not None and mine is not None and w[0] == mine[0] for w in ways)


def _rivals(
    cue: Fired, fired: Mapping[str, Fired], outcomes: Mapping[str, CueOutcome]
) -> list[int]:
    """Cues that are on at the same time on the same box."""
    mine = outcomes.get(cue.id)
    if mine is None or mine.way is None or mine.pulse_s is None:
        return []
    out = []
    for other in fired.values():
        its = outcomes.get(other.id)
        if other.cue == cue.cue or its is None or its.way is None or its.pulse_s is None:
            continue
        overlap = (
            its.switch_s < mine.switch_s + mine.pulse_s
            and mine.switch_s < its.switch_s + its.pulse_s
        )
        if its.way[0] == mine.way[0] and overlap:
            out.append(other.cue)
    return out


def _cue_of(finding: Finding, trial: Trial) -> str | None:
    return next((s for s in finding.subjects if s in trial.cues), None)


def _spreads(problem: Problem, built: Built, trial: Trial) -> list[Miss]:
    """Cues that are fired as several in the plan: whether they still light together."""
    parts: dict[int, list[CueOutcome]] = {}
    for fired in built.fired:
        parts.setdefault(fired.cue, []).append(trial.cues[fired.id])
    misses = []
    for cue, outcomes in parts.items():
        stated = [x for p in problem.cues[cue].pieces if (x := p.load.spread_s) is not None]
        limit = min(stated, default=problem.site.requirements.spread_s)
        if len(outcomes) < 2 or limit is None:
            continue
        light = [
            (i.light.earliest + o.switch_s, i.light.latest + o.switch_s)
            for o in outcomes
            for i in o.meant
        ]
        spread = max(x[1] for x in light) - min(x[0] for x in light)
        if not math.isfinite(spread) or spread > limit + 1e-9:
            misses.append(
                Miss(
                    f"the parts of cue {problem.cues[cue].id!r} can light {spread:.3g} s apart; "
                    f"{limit:g} s is allowed",
                    outcomes[0].id,
                )
            )
    return misses
