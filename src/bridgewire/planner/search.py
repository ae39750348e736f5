"""The planner's loop: choose, try what is chosen, and choose again without what failed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress

from attrs import define, field

from bridgewire.planner.attempt import Attempts, Outcome, Say
from bridgewire.planner.choice import Choice
from bridgewire.planner.clock import Clock, OutOfTimeError
from bridgewire.planner.conflict import Conflict, smallest_conflict
from bridgewire.planner.design import Design
from bridgewire.planner.family import Family
from bridgewire.planner.free_bound import FreeBound, free_bound
from bridgewire.planner.master import Master
from bridgewire.planner.neighbourhood import improve
from bridgewire.planner.prices import STEPS, Prices
from bridgewire.planner.problem import Problem
from bridgewire.planner.result import Plan
from bridgewire.rules.registry import LoadedRule

FIRST_SHARE, FIRST_S = 0.1, 1.0
"""Part of the time left for the choice of a first plan, and what it gets at least."""
FIRST_ROUNDS = 6
LOOK_SHARE = 0.25
"""Part of the time left that a look at everything gets, in each round."""
LINEAR_SHARE = 0.15
BOUND_SHARE = 0.6
MANY = 300
"""Classes of feeds from which on everything is not looked at at once before parts were."""
IMPROVE_SHARE = 0.5
"""Part of the time left for planning near positions anew."""


@define(eq=False)
class Search:
    """Looks for a plan.

    Attributes
    ----------
    problem : Problem
    seconds : float
        After which the best plan so far is given.
    seed : int
    workers : int
        Threads of the solver.
    rules : sequence of LoadedRule
        That plugins bring.
    progress : callable, optional
        Told what is being done.
    """

    problem: Problem
    seconds: float
    seed: int = 1
    workers: int = 2
    rules: Sequence[LoadedRule] = ()
    progress: Say | None = None
    prices: Prices = field(init=False)
    family: Family = field(init=False)
    clock: Clock = field(init=False)
    _attempts: Attempts = field(init=False)
    _last: Design | None = field(init=False, default=None)
    _bound: float = field(init=False, default=0.0)
    _outputs: int = field(init=False, default=0)
    _rounds: int = field(init=False, default=0)
    _conflict: Conflict | None = field(init=False, default=None)
    _done: bool = field(init=False, default=False)
    _whole: bool = field(init=False, default=False)

    def __attrs_post_init__(self) -> None:
        self.clock = Clock(self.seconds)
        self.prices = Prices.of(self.problem)
        self.family = Family.of(self.problem, self.clock)
        self._attempts = Attempts(
            self.problem, self.family, self.rules, self.clock, self.seed, self._say
        )

    def run(self) -> Plan:
        """Search until there is nothing better, or time is up."""
        free = free_bound(self.problem, self.prices)
        with suppress(OutOfTimeError):
            self._singles()
            self._family()
            if self._suspected() and self._conflict is None:
                self._bound_again()
        return self._plan(free)

    # -- the loop ----------------------------------------------------------------------------

    def _singles(self) -> None:
        """A first plan, with one strip on every output."""
        self._say("circuits")
        choice = self.family.choice(singles=True)
        for _ in range(FIRST_ROUNDS):
            solved = self._master(choice).solve(
                self.clock.share_s(FIRST_SHARE, FIRST_S),
                self.seed,
                self._last,
                workers=self.workers,
            )
            if solved.design is None:
                return
            self._last = solved.design
            outcome = self._attempts.attempt(solved.design, choice)
            if outcome in (Outcome.GOOD, Outcome.STUCK):
                return
            if outcome is Outcome.AGAIN:
                choice = self.family.choice(singles=True)

    def _family(self) -> None:
        """The whole family: choose, and choose again without what failed."""
        self._say("circuits with several strips on an output")
        choice = self.family.choice()
        self._whole = True
        self._linear(choice)
        while not self._done:
            self.clock.look()
            self._rounds += 1
            self._say(f"boxes and cables, round {self._rounds}")
            choice = self._round(choice)

    def _linear(self, choice: Choice) -> None:
        """A first bound, if nothing was shut out on suspicion yet."""
        if self._suspected():
            choice = self.family.exact_choice()
        cuts = self._attempts.exact_cuts
        first = Master(self.problem, choice, self.prices, cuts, clock=self.clock)
        self._outputs = first.least_outputs(self.clock.share_s(LINEAR_SHARE))
        master = Master(
            self.problem, choice, self.prices, cuts, outputs=self._outputs, clock=self.clock
        )
        self._bound = max(self._bound, master.linear_bound(self.clock.share_s(LINEAR_SHARE)))

    def _round(self, choice: Choice) -> Choice:
        """Choose, and try what is chosen; what there is to choose from in the next round."""
        best = self._best()
        hint = best or self._last
        if len(choice.classes) > MANY and hint is not None and self._fits(hint, choice):
            return self._parts(hint, choice)
        solved = self._master(choice).solve(
            self.clock.share_s(LOOK_SHARE), self.seed, hint, workers=self.workers
        )
        if not self._suspected():
            proven = solved.bound
            if solved.infeasible:  # nothing else is left, or nothing at all
                proven = 0.0 if best is None else float(best.cost)
            self._bound = max(self._bound, proven)
        if solved.infeasible:
            if best is None:
                self._explain()
            self._done = True
            return choice
        design = solved.design or best
        if design is None:
            return choice
        if not solved.optimal:
            return self._parts(design, choice)
        self._last = design
        if best is not None and design.cost >= best.cost:
            self._done = True
            return choice
        outcome = self._attempts.attempt(design, choice)
        self._done = outcome in (Outcome.STUCK, Outcome.GOOD)
        return self.family.choice() if outcome is Outcome.AGAIN else choice

    def _parts(self, design: Design, choice: Choice) -> Choice:
        """Plan near positions anew, one part after the other, and try what comes of it."""
        self.clock.look()
        self._say("one part after the other")
        best = self._best()
        better = improve(
            self.problem,
            choice,
            self.prices,
            self._attempts.cuts,
            self._attempts.limits,
            design,
            Clock(self.clock.share_s(IMPROVE_SHARE)),
            self.seed + self._rounds,
            self.workers,
        )
        self._last = better
        if best is not None and better.cost >= best.cost:
            self._bound_again()
            self._done = self._bound >= best.cost
            return choice
        outcome = self._attempts.attempt(better, choice)
        self._done = outcome is Outcome.STUCK
        return self.family.choice() if outcome is Outcome.AGAIN else choice

    def _best(self) -> Design | None:
        """The design of the best plan so far."""
        best = self._attempts.best
        return None if best is None else best.design

    def _fits(self, design: Design, choice: Choice) -> bool:
        """Whether a design is of a choice, and breaks no cut, so that it can be built on."""
        known = {f for k in choice.classes for f in k.feeds}
        return design is self._best() and all(f in known for f in design.feeds)

    def _master(self, choice: Choice) -> Master:
        return Master(
            self.problem,
            choice,
            self.prices,
            self._attempts.cuts,
            limits=self._attempts.limits,
            outputs=self._outputs,
            clock=self.clock,
        )

    def _suspected(self) -> bool:
        """Whether something was shut out that may not fail by itself."""
        return not self._attempts.exact

    def _bound_again(self) -> None:
        """Seek a better bound, without what was shut out on suspicion."""
        self._say("bound")
        choice = self.family.exact_choice()
        best = self._best()
        master = Master(
            self.problem,
            choice,
            self.prices,
            self._attempts.exact_cuts,
            outputs=self._outputs,
            clock=self.clock,
        )
        solved = master.solve(
            self.clock.share_s(BOUND_SHARE), self.seed, best, bounding=True, workers=self.workers
        )
        limit = math.inf if best is None else float(best.cost)
        self._bound = max(self._bound, min(solved.bound, limit))

    def _explain(self) -> None:
        self._say("what conflicts")
        self._conflict = smallest_conflict(
            self.family,
            self.prices,
            tuple(self._attempts.cuts),
            self._attempts.limits,
            self.clock,
            self.seed,
            suspected=self._suspected(),
        )

    # -- the answer --------------------------------------------------------------------------

    def _plan(self, free: FreeBound) -> Plan:
        found = self._attempts.best or self._attempts.failed
        bound = self._bound / STEPS if self._whole else 0.0
        return Plan(
            problem=self.problem,
            prices=self.prices,
            placed=() if found is None else found.placed,
            checked=None if found is None else found.checked,
            cost=None if found is None else found.design.cost / STEPS,
            bound=bound,
            free=free,
            exact=self._attempts.exact,
            finished=self._done and not self.clock.out,
            whole=self._whole,
            conflict=self._conflict,
            circuits=self.family.electrics.asked,
            checked_circuits=len(self.family.electrics.judge.answers),
            rounds=self._rounds,
            seconds=self.clock.gone_s,
            limit_s=self.seconds,
        )

    def _say(self, what: str) -> None:
        if self.progress is not None:
            self.progress(what)


def plan_site(
    problem: Problem,
    *,
    seconds: float = 120.0,
    seed: int = 1,
    workers: int = 2,
    rules: Sequence[LoadedRule] = (),
    progress: Say | None = None,
) -> Plan:
    """Plan a site.

    Parameters
    ----------
    problem : Problem
    seconds : float
        The best plan so far is given after this time, s.
    seed : int
        Of the solver.
    workers : int
        Threads of the solver. With one the same seed gives the same plan where time does not run
        out.
    rules : sequence of LoadedRule
        That plugins bring.
    progress : callable, optional
        Told what is being done.

    Returns
    -------
    Plan

    Raises
    ------
    SolverMissingError
        If OR-Tools is not installed.
    """
    return Search(problem, seconds, seed, workers, rules, progress).run()
