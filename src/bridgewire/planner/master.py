"""Which feeds to use, how often, and where the boxes stand: an integer programme.

Cues of one group (the same loads at the same positions) are interchangeable here; which of them
goes where, so that none clash, is decided afterwards (`bridgewire.planner.placing`), and what
fails there comes back as cuts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from attrs import define, field, frozen

from bridgewire.planner.choice import Choice
from bridgewire.planner.clock import Clock
from bridgewire.planner.demand_names import CROSSINGS, TIMES, Demand, stock_of, wanted_at
from bridgewire.planner.design import Cut, Design
from bridgewire.planner.feeds import FeedClass, strips_at
from bridgewire.planner.linear_bound import linear_bound
from bridgewire.planner.prices import Prices
from bridgewire.planner.problem import Problem
from bridgewire.planner.programme import Programme
from bridgewire.planner.programme_costs import cost_terms
from bridgewire.planner.programme_crossings import forbid_crossings
from bridgewire.planner.programme_cuts import shut_out
from bridgewire.planner.programme_least import add_least_numbers
from bridgewire.planner.programme_stock import limit_stock
from bridgewire.planner.programme_times import limit_parts, limit_times
from bridgewire.planner.solver import cp_model, new_solver
from bridgewire.planner.stock import PLENTY

BOUNDING = ("lb_tree_search", "max_lp")
"""How the solver seeks a bound."""


@frozen
class Solved:
    """What the master says.

    Attributes
    ----------
    design : Design or None
    optimal : bool
    infeasible : bool
        Proven; both false where time ran out.
    bound : float
        No design of the family costs less; in the solver's steps.
    """

    design: Design | None
    optimal: bool
    infeasible: bool
    bound: float


@define(eq=False, slots=False)
class Master:
    """Builds and solves the programme.

    Attributes
    ----------
    problem : Problem
    choice : Choice
    prices : Prices
    cuts : sequence of Cut
    relaxed : frozenset of Demand
        What does not count, to find out what conflicts.
    limits : mapping of int to int
        By group, how many parts of a cue one box may fire.
    kept : Design, optional
        What stays as it is, except feeds that reach none but the positions `free`, or just those
        of one of the `sets`.
    outputs : int
        No design has fewer outputs, by what is known from elsewhere.
    clock : Clock
        Looked at while the programme is built.
    """

    problem: Problem
    choice: Choice
    prices: Prices
    cuts: Sequence[Cut] = ()
    relaxed: frozenset[Demand] = frozenset()
    limits: Mapping[int, int] = field(factory=dict)
    kept: Design | None = None
    free: frozenset[str] = frozenset()
    sets: frozenset[frozenset[str]] = frozenset()
    outputs: int = 0
    clock: Clock = field(factory=Clock)
    _built: Programme | None = field(init=False, default=None)

    @property
    def programme(self) -> Programme:
        """The programme, built when it is first asked for.

        Raises
        ------
        OutOfTimeError
            If the time is up before it is built.
        """
        if self._built is None:
            self._built = self._build()
        return self._built

    def _build(self) -> Programme:
        programme = Programme(self.problem, self.choice, self.relaxed)
        self._make_boxes(programme)
        for klass in self.choice.classes:
            self.clock.look()
            self._make_class(programme, klass)
        self._cover(programme)
        _limit_outputs(programme)
        add_least_numbers(programme, self.prices, self.outputs)
        limit_stock(programme)
        self.clock.look()
        if TIMES not in self.relaxed:
            limit_times(programme)
            limit_parts(programme, self.limits)
        if self.problem.site.plan.crossings == "avoid" and CROSSINGS not in self.relaxed:
            forbid_crossings(programme)
        for number, cut in enumerate(self.cuts):
            self.clock.look()
            if cut.demand not in self.relaxed:
                shut_out(programme, number, cut)
        self._minimize_cost(programme)
        return programme

    def _minimize_cost(self, programme: Programme) -> None:
        programme.model.minimize(sum(c * v for v, c in cost_terms(programme, self.prices)))

    def least_outputs(self, seconds: float) -> int:
        """How many outputs any design has at least, by the linear relaxation; 0 where time does
        not do."""
        programme = self.programme
        programme.model.minimize(sum(programme.used.values()))
        least = linear_bound(programme.model, seconds, self.clock)
        self._minimize_cost(programme)
        return int(least)

    def linear_bound(self, seconds: float) -> float:
        """A bound of the cost by the linear relaxation; 0 where time does not do."""
        return linear_bound(self.programme.model, seconds, self.clock)

    def solve(
        self,
        seconds: float,
        seed: int,
        hint: Design | None = None,
        bounding: bool = False,
        workers: int = 2,
    ) -> Solved:
        """Solve.

        Parameters
        ----------
        seconds : float
            For the solver, once the programme is built.
        seed : int
        hint : Design, optional
            To start from.
        bounding : bool
            Whether a bound is sought above all.
        workers : int
            Threads.

        Raises
        ------
        OutOfTimeError
            If the time is up before the solver begins.
        """
        programme = self.programme
        self.clock.look()
        cp = cp_model()
        programme.model.clear_hints()
        if hint is not None:
            _add_hint(programme, hint)
        solver = new_solver(seconds, seed, workers)
        if bounding:
            solver.parameters.subsolvers.extend(BOUNDING[: max(workers, 1)])
        status = solver.solve(programme.model)
        found = status in (cp.OPTIMAL, cp.FEASIBLE)
        bound = float(solver.best_objective_bound) if found or status == cp.UNKNOWN else 0.0
        return Solved(
            _design(programme, solver) if found else None,
            status == cp.OPTIMAL,
            status == cp.INFEASIBLE,
            max(bound, 0.0),
        )

    def _make_boxes(self, programme: Programme) -> None:
        spots = dict.fromkeys((c.shape.box, c.shape.place) for c in self.choice.classes)
        for box, place in spots:
            stock = self.problem.shelf.boxes[box]
            most = PLENTY if stock_of(stock.item) in self.relaxed else stock.count
            need = sum(len(m) for m in self.choice.members) * len(self.problem.positions)
            programme.boxes[box, place] = programme.model.new_int_var(
                0, min(most, need), f"boxes {box} at {place}"
            )

    def _make_class(self, programme: Programme, klass: FeedClass) -> None:
        shape, model = klass.shape, programme.model
        if self.kept is not None and not (
            self.free.issuperset(shape.positions) or frozenset(shape.positions) in self.sets
        ):
            _keep(programme, klass, self.kept)
            return
        cues = sum(len(self.choice.members[t.group]) for t in klass.takes)
        room = programme.room(shape.box)
        for feed in klass.feeds:
            programme.uses[feed] = model.new_int_var(0, cues, "")
        used = sum(programme.uses[f] for f in klass.feeds)
        programme.used[klass] = used
        for take in klass.takes:
            most = len(self.choice.members[take.group])
            programme.ways[klass, take] = model.new_int_var(0, most, "")
        for take in klass.takes:
            most = min(room, len(self.choice.members[take.group]))
            model.add(programme.ways[klass, take] <= most * used)
        ways = sum(programme.ways[klass, t] for t in klass.takes)
        model.add(ways <= min(room, cues) * used)
        for position in shape.positions:
            here = sum(programme.ways[klass, t] for t in klass.takes if position in t.positions)
            kinds = strips_at(self.problem, shape, position)
            for full, _, _ in kinds:
                programme.strips[klass, position, full] = model.new_int_var(0, cues, "")
            chosen = [programme.strips[klass, position, full] for full, _, _ in kinds]
            model.add(sum(chosen) == used)
            most = min(room, len(self.problem.at[position]))
            rooms = [min(k.ways, most) for _, k, _ in kinds]
            model.add(here <= sum(r * v for r, v in zip(rooms, chosen, strict=True)))

    def _cover(self, programme: Programme) -> None:
        """Every cue is fired at each of its positions, by just one way."""
        by_need: dict[tuple[int, str], list[Any]] = defaultdict(list)
        for (_, take), v in programme.ways.items():
            for position in take.positions:
                by_need[take.group, position].append(v)
        for g, group in enumerate(self.choice.groups):
            for position, _ in group:
                if wanted_at(position) not in self.relaxed:
                    programme.model.add(sum(by_need[g, position]) == len(self.choice.members[g]))


def _keep(programme: Programme, klass: FeedClass, kept: Design) -> None:
    """Numbers in place of variables; nothing at all where there is no such feed."""
    used = kept.used(klass)
    if not used:
        return
    programme.used[klass] = used
    for feed in klass.feeds:
        if feed in kept.feeds:
            programme.uses[feed] = kept.feeds[feed]
    for take in klass.takes:
        programme.ways[klass, take] = kept.ways.get((klass, take), 0)
    for position in klass.shape.positions:
        for full, _, _ in strips_at(programme.problem, klass.shape, position):
            number = kept.strips.get((klass, position, full), 0)
            programme.strips[klass, position, full] = number


def _limit_outputs(programme: Programme) -> None:
    """No more outputs in use at a place than its boxes have."""
    by_spot: dict[tuple[int, str], list[Any]] = defaultdict(list)
    for klass, used in programme.used.items():
        by_spot[klass.shape.box, klass.shape.place].append(used)
    for (box, place), used in by_spot.items():
        outputs = programme.problem.shelf.boxes[box].kind.outputs
        programme.model.add(sum(used) <= outputs * programme.boxes[box, place])


def _add_hint(programme: Programme, hint: Design) -> None:
    pairs: tuple[tuple[Mapping[Any, Any], Mapping[Any, int]], ...] = (
        (programme.uses, hint.feeds),
        (programme.boxes, hint.boxes),
        (programme.ways, hint.ways),
        (programme.strips, hint.strips),
    )
    for variables, values in pairs:
        for key, v in variables.items():
            if not isinstance(v, int):
                programme.model.add_hint(v, values.get(key, 0))


def _design(programme: Programme, solver: Any) -> Design:
    def values(of: Mapping[Any, Any]) -> dict[Any, int]:
        return {k: n for k, v in of.items() if (n := int(solver.value(v)))}

    return Design(
        values(programme.uses),
        values(programme.ways),
        values(programme.strips),
        values(programme.boxes),
        round(solver.objective_value),
    )
