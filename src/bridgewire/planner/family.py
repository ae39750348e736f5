"""Everything that the master may choose from, for a site or for one with less demanded."""

from __future__ import annotations

from typing import Any

from attrs import define, evolve, field

from bridgewire.planner.choice import Choice
from bridgewire.planner.clock import Clock
from bridgewire.planner.demand_names import LATEST, MARGIN, PLACES, SPARES, SPREAD, Demand, stock_of
from bridgewire.planner.electrics import Electrics
from bridgewire.planner.feeds import FeedClass, Group, circuit_of, classes_of, loads_of, stand_ins
from bridgewire.planner.judge import Judge
from bridgewire.planner.loads import Load, counted
from bridgewire.planner.problem import Problem
from bridgewire.planner.shapes import shapes_of
from bridgewire.planner.stock import PLENTY, CablePieces
from bridgewire.planner.timing import busy_times

ENDLESS_M = 100_000.0
REQUIRED = {MARGIN: "margin", LATEST: "latest_light_s", SPREAD: "spread_s"}
"""Demands that are requirements, with their keys."""


@define(eq=False)
class Family:
    """Makes choices, and remembers what it learned about circuits.

    Attributes
    ----------
    problem : Problem
    electrics : Electrics
        With every requirement.
    """

    problem: Problem
    electrics: Electrics
    _relaxed: dict[frozenset[Demand], Electrics] = field(factory=dict)
    _exact: tuple[int, Choice] | None = field(init=False, default=None)

    @classmethod
    def of(cls, problem: Problem, clock: Clock | None = None) -> Family:
        """A site's; `clock` is looked at while it is learned what is sure."""
        judge = Judge(problem, problem.site.requirements, clock or Clock())
        return cls(problem, Electrics(judge))

    def choice(
        self,
        relaxed: frozenset[Demand] = frozenset(),
        *,
        singles: bool = False,
        exact: bool = False,
    ) -> Choice:
        """What there is to choose from.

        Parameters
        ----------
        relaxed : frozenset of Demand
            What does not count.
        singles : bool
            Whether only one strip on each output is looked at.
        exact : bool
            Whether circuits that failed in a plan only, and not by themselves, are kept.

        Raises
        ------
        OutOfTimeError
            If the time is up.
        """
        problem = without(self.problem, relaxed)
        groups, members = groups_of(problem)
        electrics = self._electrics(problem, relaxed)
        if exact:
            electrics = electrics.exact()
        places = tuple(p.id for p in problem.site.position) if PLACES in relaxed else None
        shapes = shapes_of(problem, places)
        if singles:
            shapes = tuple(s for s in shapes if len(s.positions) == 1)
        classes = classes_of(problem, shapes, groups, electrics)
        busy = busy_times(problem, *_lights(problem, electrics, classes, groups, members))
        return Choice(classes, groups, members, busy)

    def exact_choice(self) -> Choice:
        """What there is to choose from, without suspicions; remembered until more is known."""
        known = self.electrics.exact_refusals
        if self._exact is None or self._exact[0] != known:
            self._exact = (known, self.choice(exact=True))
        return self._exact[1]

    def _electrics(self, problem: Problem, relaxed: frozenset[Demand]) -> Electrics:
        eased = frozenset(d for d in relaxed if d in REQUIRED)
        if not eased:
            return self.electrics
        if eased not in self._relaxed:
            new = self.electrics.relaxed(*(REQUIRED[d] for d in eased))
            self._relaxed[eased] = new
        return self._relaxed[eased]


def groups_of(problem: Problem) -> tuple[tuple[Group, ...], tuple[tuple[int, ...], ...]]:
    """Groups of cues that are interchangeable but for time, and the cues of each."""
    found = counted(problem.cues)
    return tuple(found), tuple(tuple(m) for m in found.values())


def without(problem: Problem, relaxed: frozenset[Demand]) -> Problem:
    """The problem with more cable and no spare ways, without what loads require themselves."""
    shelf = problem.shelf
    cables = tuple(
        evolve(c, pieces=(*c.pieces, CablePieces(ENDLESS_M, PLENTY, True)))
        if stock_of(c.item) in relaxed
        else c
        for c in shelf.cables
    )
    eased: dict[str, Any] = {REQUIRED[d]: None for d in relaxed if d in (LATEST, SPREAD)}
    cues = problem.cues
    if eased:
        cues = tuple(
            evolve(
                cue,
                pieces=tuple(evolve(p, load=evolve(p.load, **eased)) for p in cue.pieces),
            )
            for cue in cues
        )
    site = problem.site
    if SPARES in relaxed:
        site = evolve(site, plan=evolve(site.plan, spare_ways=0))
    return evolve(problem, site=site, cues=cues, shelf=evolve(shelf, cables=cables))


def _lights(
    problem: Problem,
    electrics: Electrics,
    classes: tuple[FeedClass, ...],
    groups: tuple[Group, ...],
    members: tuple[tuple[int, ...], ...],
) -> tuple[list[tuple[float, float]], list[float]]:
    """Light times and longest pulse that each cue may have."""
    longest = [0.0] * len(groups)
    lights = [(0.0, 0.0)] * len(groups)
    known: dict[tuple[int, Load], tuple[float, float]] = {}
    for klass in classes:
        electrics.clock.look()
        strips = stand_ins(problem, klass.shape)
        for take in klass.takes:
            loads = loads_of(groups[take.group], take.positions)
            for feed in klass.feeds:
                pulse_s = electrics.pulse_s(circuit_of(feed, loads, strips))
                longest[take.group] = max(longest[take.group], pulse_s or 0.0)
            for load in loads.values():
                key = (klass.shape.box, load)
                if key not in known:
                    known[key] = electrics.light_s(*key)
                low, high = lights[take.group]
                one = known[key]
                first = longest[take.group] and lights[take.group] == (0.0, 0.0)
                lights[take.group] = one if first else (min(low, one[0]), max(high, one[1]))
    of_cue: dict[int, int] = {c: g for g, mine in enumerate(members) for c in mine}
    order = range(len(problem.cues))
    return [lights[of_cue[c]] for c in order], [longest[of_cue[c]] for c in order]
