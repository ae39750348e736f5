"""The planner's loop: choose, place, check the whole plan, and choose again without what failed."""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Sequence

from attrs import define, field

from bridgewire.planner.building import build
from bridgewire.planner.circuits import Circuit
from bridgewire.planner.conflict import Conflict, smallest_conflict
from bridgewire.planner.cutting import can_cut, pieces_m
from bridgewire.planner.demand_names import TIMES, stock_of
from bridgewire.planner.design import Cut, Design
from bridgewire.planner.family import Family
from bridgewire.planner.feeds import circuit_of, loads_of, stand_ins
from bridgewire.planner.free_bound import FreeBound, free_bound
from bridgewire.planner.master import Choice, Master
from bridgewire.planner.neighbourhood import improve
from bridgewire.planner.placing import Pair, Placed, Placing
from bridgewire.planner.prices import STEPS, Prices
from bridgewire.planner.problem import Problem
from bridgewire.planner.result import Plan
from bridgewire.planner.verify import Verified, judge_odds, learn, verify
from bridgewire.rules.registry import LoadedRule

FIRST_SHARE = 0.1
"""Part of the time left that a first plan gets."""
FIRST_ROUNDS = 6
LOOK_SHARE = 0.25
"""Part of the time left that a look at everything gets, in each round."""
LINEAR_SHARE = 0.15
BOUND_SHARE = 0.6
MANY = 300
"""Classes of feeds from which on everything is not looked at at once before parts were."""
IMPROVE_SHARE = 0.5
"""Part of the time left for planning near positions anew."""
Progress = Callable[[str], None]


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
    progress: Progress | None = None
    prices: Prices = field(init=False)
    family: Family = field(init=False)
    _begun: float = field(init=False, factory=time.monotonic)
    _cuts: list[Cut] = field(init=False, factory=list)
    _apart: set[Pair] = field(init=False, factory=set)
    _limits: dict[int, int] = field(init=False, factory=dict)
    _last: Design | None = field(init=False, default=None)
    _exact: bool = field(init=False, default=True)
    _bound: float = field(init=False, default=0.0)
    _best: tuple[Design, tuple[Placed, ...], Verified] | None = field(init=False, default=None)
    _failed: tuple[Design, tuple[Placed, ...], Verified] | None = field(init=False, default=None)
    _outputs: int = field(init=False, default=0)
    _rounds: int = field(init=False, default=0)
    _conflict: Conflict | None = field(init=False, default=None)
    _done: bool = field(init=False, default=False)
    _whole: bool = field(init=False, default=False)

    def __attrs_post_init__(self) -> None:
        self.prices = Prices.of(self.problem)
        self.family = Family.of(self.problem)

    def run(self) -> Plan:
        """Search until there is nothing better, or time is up."""
        free = free_bound(self.problem, self.prices)
        self._singles()
        if not self._out():
            self._family()
        if self._suspected() and self._conflict is None and not self._out():
            self._bound_again()
        return self._plan(free)

    # -- the loop ----------------------------------------------------------------------------

    def _singles(self) -> None:
        """A first plan, with one strip on every output."""
        self._say("circuits")
        choice = self.family.choice(singles=True)
        for _ in range(FIRST_ROUNDS):
            solved = self._master(choice).solve(
                self._left() * FIRST_SHARE, self.seed, self._last, workers=self.workers
            )
            if solved.design is None or self._out():
                return
            self._last = solved.design
            outcome = self._try(solved.design, choice)
            if outcome in ("good", "stuck"):
                return
            if outcome == "again":
                choice = self.family.choice(singles=True)

    def _family(self) -> None:
        """The whole family: choose, and choose again without what failed."""
        self._say("circuits with several strips on an output")
        choice = self.family.choice()
        self._whole = True
        self._linear(choice)
        while not self._done and not self._out():
            self._rounds += 1
            self._say(f"boxes and cables, round {self._rounds}")
            choice = self._round(choice)

    def _linear(self, choice: Choice) -> None:
        """A first bound, if nothing was shut out on suspicion yet."""
        if self._suspected():
            choice = self.family.exact_choice()
        cuts = self._exact_cuts()
        first = Master(self.problem, choice, self.prices, cuts)
        self._outputs = first.least_outputs(self._left() * LINEAR_SHARE)
        master = Master(self.problem, choice, self.prices, cuts, outputs=self._outputs)
        self._bound = max(self._bound, master.linear_bound(self._left() * LINEAR_SHARE))

    def _round(self, choice: Choice) -> Choice:
        best = None if self._best is None else self._best[0]
        hint = best or self._last
        if len(choice.classes) > MANY and hint is not None and self._fits(hint, choice):
            return self._parts(hint, choice)
        solved = self._master(choice).solve(
            self._left() * LOOK_SHARE, self.seed, hint, workers=self.workers
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
        outcome = self._try(design, choice)
        self._done = outcome in ("stuck", "good")
        return self.family.choice() if outcome == "again" else choice

    def _parts(self, design: Design, choice: Choice) -> Choice:
        """Plan near positions anew, one part after the other, and check what comes of it."""
        self._say("one part after the other")
        best = None if self._best is None else self._best[0]
        better = improve(
            self.problem,
            choice,
            self.prices,
            self._cuts,
            self._limits,
            design,
            time.monotonic() + self._left() * IMPROVE_SHARE,
            self.seed + self._rounds,
            self.workers,
        )
        self._last = better
        if best is not None and better.cost >= best.cost:
            self._bound_again()
            self._done = self._bound >= best.cost
            return choice
        outcome = self._try(better, choice)
        self._done = outcome == "stuck"
        return self.family.choice() if outcome == "again" else choice

    def _fits(self, design: Design, choice: Choice) -> bool:
        """Whether a design is of a choice, and breaks no cut, so that it can be built on."""
        known = {f for k in choice.classes for f in k.feeds}
        best = None if self._best is None else self._best[0]
        return design is best and all(f in known for f in design.feeds)

    def _master(self, choice: Choice) -> Master:
        return Master(
            self.problem,
            choice,
            self.prices,
            self._cuts,
            limits=self._limits,
            outputs=self._outputs,
        )

    def _suspected(self) -> bool:
        """Whether something was shut out that may not fail by itself."""
        return not self._exact

    def _exact_cuts(self) -> list[Cut]:
        return [c for c in self._cuts if c.exact]

    def _try(self, design: Design, choice: Choice) -> str:
        """Place, cut, build and check a design: ``good``, ``cut``, ``again`` or ``stuck``."""
        if not self.family.electrics.confirm(_joint_circuits(self.problem, design, choice)):
            return "again"
        cut = self._cutting(design)
        if cut is not None:
            self._cuts.append(cut)
            return "cut"
        while not self._out():
            self._say("cues and outputs")
            placed = Placing(self.problem, choice, design, self._apart, self._limits).solve(
                max(self._left() * 0.3, 1.0), self.seed
            )
            if placed is None:
                return "stuck"
            if isinstance(placed, Cut):
                self._exact = self._exact and placed.exact
                self._cuts.append(placed)
                return "cut"
            built = build(self.problem, choice.groups, placed, self.family.electrics)
            if isinstance(built, str):
                self._exact = False
                self._cuts.append(_no_room(choice, design, built))
                return "cut"
            self._say("check of the whole plan")
            checked = verify(self.problem, built, self.rules)
            if not checked.misses:
                if self.problem.site.requirements.reliability is not None:
                    self._say("odds of the whole plan")
                checked = judge_odds(self.problem, checked, self.seed)
            if not checked.misses:
                self._best = (design, placed, checked)
                return "good"
            if self._failed is None or len(checked.misses) < len(self._failed[2].misses):
                self._failed = (design, placed, checked)
            learned = learn(
                checked,
                self.family.electrics,
                {c: g for g, mine in enumerate(choice.members) for c in mine},
                self._apart,
                self._limits,
            )
            self._exact = self._exact and learned.exact
            if learned.refused:
                return "again"
            if not learned.parted:
                return "stuck"
        return "stuck"

    def _cutting(self, design: Design) -> Cut | None:
        for cable in self.problem.shelf.cables:
            pieces: Counter[float] = Counter()
            for feed, number in design.feeds.items():
                for lay in feed.lays:
                    if lay.cable == cable.item and not lay.whole:
                        for metres in pieces_m(self.problem, lay):
                            pieces[metres] += number
            drums = [(p.length_m, p.count) for p in cable.drums]
            if pieces and can_cut(drums, pieces, max(self._left() / 10, 0.5), self.seed) is False:
                rising = sorted(pieces)
                return Cut(
                    stock_of(cable.item),
                    cable=cable.item,
                    fewer_pieces={
                        m: sum(pieces[k] for k in rising[i:]) for i, m in enumerate(rising)
                    },
                )
        return None

    def _bound_again(self) -> None:
        """Seek a better bound, without what was shut out on suspicion."""
        self._say("bound")
        choice = self.family.exact_choice()
        best = None if self._best is None else self._best[0]
        master = Master(
            self.problem, choice, self.prices, self._exact_cuts(), outputs=self._outputs
        )
        solved = master.solve(
            self._left() * BOUND_SHARE, self.seed, best, bounding=True, workers=self.workers
        )
        limit = math.inf if best is None else float(best.cost)
        self._bound = max(self._bound, min(solved.bound, limit))

    def _explain(self) -> None:
        self._say("what conflicts")
        self._conflict = smallest_conflict(
            self.family,
            self.prices,
            tuple(self._cuts),
            self._limits,
            self._begun + self.seconds,
            self.seed,
            suspected=self._suspected(),
        )

    # -- the answer --------------------------------------------------------------------------

    def _plan(self, free: FreeBound) -> Plan:
        found = self._best or self._failed
        bound = self._bound / STEPS if self._whole else 0.0
        return Plan(
            problem=self.problem,
            prices=self.prices,
            placed=() if found is None else found[1],
            checked=None if found is None else found[2],
            cost=None if found is None else found[0].cost / STEPS,
            bound=bound,
            free=free,
            exact=self._exact,
            finished=self._done and not self._out(),
            whole=self._whole,
            conflict=self._conflict,
            circuits=self.family.electrics.asked,
            checked_circuits=len(self.family.electrics.judge.answers),
            rounds=self._rounds,
            seconds=time.monotonic() - self._begun,
            limit_s=self.seconds,
        )

    def _left(self) -> float:
        return self._begun + self.seconds - time.monotonic()

    def _out(self) -> bool:
        return self._left() <= 0.05

    def _say(self, what: str) -> None:
        if self.progress is not None:
            self.progress(what)


def _joint_circuits(problem: Problem, design: Design, choice: Choice) -> list[Circuit]:
    """Circuits of a design that light something at several positions."""
    found: list[Circuit] = []
    for klass, take in design.ways:
        if len(take.positions) > 1:
            loads = loads_of(choice.groups[take.group], take.positions)
            strips = stand_ins(problem, klass.shape)
            used = [f for f in klass.feeds if design.feeds.get(f)]
            found += [circuit_of(f, loads, strips) for f in used]
    return found


def _no_room(choice: Choice, design: Design, position: str) -> Cut:
    touched = [k for k in choice.classes if position in k.shape.positions]
    return Cut(
        TIMES,
        frozenset({position}),
        {k: n for k in touched if (n := design.used(k))},
        {key: n for key, n in design.strips.items() if key[0] in set(touched)},
        dict(design.boxes),
        exact=False,
    )


def plan_site(
    problem: Problem,
    *,
    seconds: float = 120.0,
    seed: int = 1,
    workers: int = 2,
    rules: Sequence[LoadedRule] = (),
    progress: Progress | None = None,
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
