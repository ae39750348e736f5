"""What of a site's demands conflicts, where no plan meets them all.

The smallest set is found by implicit hitting sets (A. Ignatiev, A. Previti, M. Liffiton and
J. Marques-Silva, "Smallest MUS extraction with minimal hitting set dualization", CP 2015; from
memory): whatever set conflicts must hit every set of demands whose absence makes a plan possible.
A set that cannot be made smaller by leaving any one out comes first, from halving (U. Junker,
"QuickXplain", AAAI 2004; from memory), in case time runs out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from attrs import define, field, frozen

from bridgewire.planner.choice import Choice
from bridgewire.planner.clock import Clock, OutOfTimeError
from bridgewire.planner.demand_names import (
    CROSSINGS,
    LATEST,
    MARGIN,
    PLACES,
    SPARES,
    SPREAD,
    TIMES,
    WHOLE,
    Demand,
    stock_of,
    wanted_at,
)
from bridgewire.planner.design import Cut
from bridgewire.planner.family import Family, without
from bridgewire.planner.master import Master
from bridgewire.planner.prices import Prices
from bridgewire.planner.problem import Problem
from bridgewire.planner.solver import cp_model, new_solver


@frozen
class Conflict:
    """Demands that cannot all be met.

    Attributes
    ----------
    demands : tuple of Demand
        Without any one of them there is a plan of the family, as far as the others go.
    smallest : bool
        Whether no smaller set conflicts; else time ran out before that was known.
    minimal : bool
        Whether every one of them is needed; else time ran out before that was known.
    """

    demands: tuple[Demand, ...]
    smallest: bool
    minimal: bool


def demands_of(problem: Problem) -> tuple[Demand, ...]:
    """Everything that a site demands, one by one."""
    site, required = problem.site, problem.site.requirements
    found = [wanted_at(p) for p in problem.positions]
    found += [stock_of(b.item) for b in problem.shelf.boxes]
    found += [stock_of(c.item) for c in problem.shelf.cables]
    found += [stock_of(f) for f, _, _ in problem.shelf.strips]
    found += [stock_of(f) for f, _, _ in problem.shelf.splitters]
    found += [stock_of(f) for f, _ in problem.shelf.igniters]
    if required.margin is not None:
        found.append(MARGIN)
    own = [p.load for c in problem.cues for p in c.pieces]
    if required.latest_light_s is not None or any(x.latest_light_s for x in own):
        found.append(LATEST)
    if required.spread_s is not None or any(x.spread_s is not None for x in own):
        found.append(SPREAD)
    if site.plan.crossings == "avoid":
        found.append(CROSSINGS)
    if set(site.box_places) < {p.id for p in site.position}:
        found.append(PLACES)
    if site.plan.spare_ways:
        found.append(SPARES)
    found.append(TIMES)
    return tuple(dict.fromkeys(found))


def smallest_conflict(
    family: Family,
    prices: Prices,
    cuts: Sequence[Cut],
    limits: Mapping[int, int],
    clock: Clock,
    seed: int,
    *,
    suspected: bool,
) -> Conflict:
    """Find the smallest set of demands that conflict.

    Parameters
    ----------
    family : Family
    prices : Prices
    cuts : sequence of Cut
        Designs that are known to fail.
    limits : mapping of int to int
        By group, how many parts of a cue one box may fire.
    clock : Clock
    seed : int
    suspected : bool
        Whether something was shut out because whole plans failed with it.
    """
    return _Finder(family, prices, cuts, limits, clock, seed, suspected).run()


@define(eq=False)
class _Finder:
    family: Family
    prices: Prices
    cuts: Sequence[Cut]
    limits: Mapping[int, int]
    clock: Clock
    seed: int
    suspected: bool
    demands: tuple[Demand, ...] = field(init=False)
    _known: dict[frozenset[Demand], bool] = field(factory=dict, init=False)
    _choices: dict[frozenset[Demand], Choice] = field(factory=dict, init=False)

    def __attrs_post_init__(self) -> None:
        more = (WHOLE,) if self.suspected else ()
        self.demands = (*demands_of(self.family.problem), *more)

    def run(self) -> Conflict:
        found: tuple[Demand, ...] = self.demands
        minimal = False
        try:
            found = tuple(sorted(self._explain((), self.demands, tried=False)))
            minimal = True
            found = self._smallest(found)
        except OutOfTimeError:
            return Conflict(tuple(sorted(found)), False, minimal)
        return Conflict(tuple(sorted(found)), True, True)

    def _explain(
        self, base: tuple[Demand, ...], rest: tuple[Demand, ...], *, tried: bool
    ) -> tuple[Demand, ...]:
        """Of `rest`, what conflicts together with `base`, nothing more (QuickXplain)."""
        if tried and not self._possible(base):
            return ()
        if len(rest) == 1:
            return rest
        half = len(rest) // 2
        one, other = rest[:half], rest[half:]
        second = self._explain((*base, *one), other, tried=bool(one))
        first = self._explain((*base, *second), one, tried=bool(second))
        return (*first, *second)

    def _smallest(self, found: tuple[Demand, ...]) -> tuple[Demand, ...]:
        corrections: list[frozenset[Demand]] = []
        while True:
            least = self._hitting(corrections)
            if len(least) >= len(found):
                return found
            if not self._possible(tuple(least)):
                return tuple(sorted(least))
            kept = list(least)
            for demand in self.demands:
                if demand not in kept and self._possible((*kept, demand)):
                    kept.append(demand)
            corrections.append(frozenset(self.demands) - set(kept))

    def _hitting(self, corrections: Sequence[frozenset[Demand]]) -> list[Demand]:
        """The smallest set with something of each."""
        model = cp_model().CpModel()
        taken = {d: model.new_bool_var("") for d in self.demands}
        for group in corrections:
            model.add_bool_or([taken[d] for d in sorted(group)])
        model.minimize(sum(taken.values()))
        self.clock.look()
        solver = new_solver(self.clock.left_s, self.seed, workers=1)
        if solver.solve(model) != cp_model().OPTIMAL:
            raise OutOfTimeError
        return [d for d, v in taken.items() if solver.boolean_value(v)]

    def _possible(self, active: tuple[Demand, ...]) -> bool:
        """Whether there is a plan that meets some demands; more of them is never easier."""
        asked = frozenset(active)
        for known, possible in self._known.items():
            if possible and asked <= known:
                return True
            if not possible and known <= asked:
                return False
        relaxed = frozenset(self.demands) - asked
        self.clock.look()
        master = Master(
            without(self.family.problem, relaxed),
            self._choice(relaxed),
            self.prices,
            [c for c in self.cuts if _holds(c, relaxed)],
            relaxed,
            {} if WHOLE in relaxed else self.limits,
            clock=self.clock,
        )
        master.programme.model.clear_objective()
        solved = master.solve(self.clock.left_s, self.seed)
        if solved.design is None and not solved.infeasible:
            raise OutOfTimeError
        self._known[asked] = not solved.infeasible
        return self._known[asked]

    def _choice(self, relaxed: frozenset[Demand]) -> Choice:
        cables = {stock_of(c.item) for c in self.family.problem.shelf.cables}
        key = relaxed & {MARGIN, LATEST, SPREAD, PLACES, WHOLE, *cables}
        if key not in self._choices:
            self._choices[key] = self.family.choice(key, exact=WHOLE in key)
        return self._choices[key]


def _holds(cut: Cut, relaxed: frozenset[Demand]) -> bool:
    """Whether what was found with every demand in force still shuts out designs without some."""
    if SPARES in relaxed and cut.demand == TIMES:  # cues that found no way may find one now
        return False
    return cut.exact or WHOLE not in relaxed
