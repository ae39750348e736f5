"""One design put to the test: placed, cut from drums, built, checked; what fails is learned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from enum import Enum

from attrs import define, field, frozen

from bridgewire.planner.building import Built, build
from bridgewire.planner.choice import Choice
from bridgewire.planner.circuits import Circuit
from bridgewire.planner.clock import Clock, OutOfTimeError
from bridgewire.planner.cutting import can_cut, pieces_m
from bridgewire.planner.demand_names import TIMES, stock_of
from bridgewire.planner.design import Cut, Design
from bridgewire.planner.family import Family
from bridgewire.planner.feeds import circuit_of, loads_of, stand_ins
from bridgewire.planner.placing import Pair, Placed, Placing
from bridgewire.planner.problem import Problem
from bridgewire.planner.verify import Learned, Verified, judge_odds, learn, verify
from bridgewire.rules.registry import LoadedRule

PLACING_SHARE, PLACING_S = 0.3, 1.0
"""Part of the time left for giving cues to outputs, and what it gets at least."""
CUTTING_SHARE, CUTTING_S = 0.1, 0.5
"""The same for cutting drums."""

Say = Callable[[str], None]
"""Is told what is being done."""


class Outcome(Enum):
    """What came of a design."""

    GOOD = "good"
    """It meets everything."""
    CUT = "cut"
    """It fails, and is shut out with others that fail alike; the choice stays."""
    AGAIN = "again"
    """Circuits of it are not sure: there is less to choose from."""
    STUCK = "stuck"
    """It fails, and nothing follows from that."""


@frozen(eq=False)
class Found:
    """A design with the plan made of it."""

    design: Design
    placed: tuple[Placed, ...]
    checked: Verified


@define(eq=False)
class Attempts:
    """Tries designs, and keeps what it learned from those that failed.

    Attributes
    ----------
    problem : Problem
    family : Family
        Is told of circuits that are not sure.
    rules : sequence of LoadedRule
        That plugins bring.
    clock : Clock
    seed : int
    say : callable
    cuts : list of Cut
        Designs that are known to fail.
    apart : set of (int, int)
        Pairs of cues that may not be fired from one box.
    limits : dict of int to int
        By group, how many parts of a cue one box may fire.
    exact : bool
        Whether all that is shut out does fail by itself, so that nothing rests on suspicion.
    best : Found or None
        The last plan that met everything.
    failed : Found or None
        The plan that missed least.
    """

    problem: Problem
    family: Family
    rules: Sequence[LoadedRule]
    clock: Clock
    seed: int
    say: Say
    cuts: list[Cut] = field(init=False, factory=list)
    apart: set[Pair] = field(init=False, factory=set)
    limits: dict[int, int] = field(init=False, factory=dict)
    exact: bool = field(init=False, default=True)
    best: Found | None = field(init=False, default=None)
    failed: Found | None = field(init=False, default=None)
    _longest_check_s: float = field(init=False, default=0.0)

    @property
    def exact_cuts(self) -> list[Cut]:
        """Those that do not rest on suspicion."""
        return [c for c in self.cuts if c.exact]

    def attempt(self, design: Design, choice: Choice) -> Outcome:
        """Place, cut, build and check a design.

        Raises
        ------
        OutOfTimeError
            If the time is up before that is known.
        """
        electrics = self.family.electrics
        if not electrics.confirm(_joint_circuits(self.problem, design, choice)):
            return Outcome.AGAIN
        cut = self._cutting(design)
        if cut is not None:
            self.cuts.append(cut)
            return Outcome.CUT
        while True:
            self.clock.look()
            self.say("cues and outputs")
            placing = Placing(
                self.problem, choice, design, self.apart, self.limits, clock=self.clock
            )
            placed = placing.solve(self.clock.share_s(PLACING_SHARE, PLACING_S), self.seed)
            if placed is None:
                return Outcome.STUCK
            if isinstance(placed, Cut):
                return self._shut_out(placed)
            self.clock.look()
            built = build(self.problem, choice.groups, placed, electrics)
            if isinstance(built, str):
                return self._shut_out(_no_room(choice, design, built))
            found = Found(design, placed, self._checked(built))
            if not found.checked.misses:
                self.best = found
                return Outcome.GOOD
            learned = self._learn(found, choice)
            if learned.refused:
                return Outcome.AGAIN
            if not learned.parted:
                return Outcome.STUCK

    def _shut_out(self, cut: Cut) -> Outcome:
        self.exact = self.exact and cut.exact
        self.cuts.append(cut)
        return Outcome.CUT

    def _checked(self, built: Built) -> Verified:
        """Check the whole plan, and its odds where a reliability is required.

        A check cannot be broken off. So where there is a good plan already, none is begun that
        may last longer than there is time.
        """
        if self.best is not None and self.clock.left_s < self._longest_check_s:
            raise OutOfTimeError
        self.clock.look()
        self.say("check of the whole plan")
        begun_s = self.clock.gone_s
        checked = verify(self.problem, built, self.rules)
        self._longest_check_s = max(self._longest_check_s, self.clock.gone_s - begun_s)
        if checked.misses or self.problem.site.requirements.reliability is None:
            return checked
        self.say("odds of the whole plan")
        return judge_odds(self.problem, checked, self.seed, self.clock)

    def _learn(self, found: Found, choice: Choice) -> Learned:
        if self.failed is None or len(found.checked.misses) < len(self.failed.checked.misses):
            self.failed = found
        self.clock.look()
        learned = learn(
            found.checked,
            self.family.electrics,
            {c: g for g, mine in enumerate(choice.members) for c in mine},
            self.apart,
            self.limits,
        )
        self.exact = self.exact and learned.exact
        return learned

    def _cutting(self, design: Design) -> Cut | None:
        """What shuts out designs whose runs cannot be cut from the drums; None where they can."""
        for cable in self.problem.shelf.cables:
            self.clock.look()
            pieces: Counter[float] = Counter()
            for feed, number in design.feeds.items():
                for lay in feed.lays:
                    if lay.cable == cable.item and not lay.whole:
                        for metres in pieces_m(self.problem, lay):
                            pieces[metres] += number
            drums = [(p.length_m, p.count) for p in cable.drums]
            seconds = self.clock.share_s(CUTTING_SHARE, CUTTING_S)
            if pieces and can_cut(drums, pieces, seconds, self.seed) is False:
                rising = sorted(pieces)
                return Cut(
                    stock_of(cable.item),
                    cable=cable.item,
                    fewer_pieces={
                        m: sum(pieces[k] for k in rising[i:]) for i, m in enumerate(rising)
                    },
                )
        return None


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
    """What shuts out designs with no more at a position than one whose strips were too short."""
    touched = [k for k in choice.classes if position in k.shape.positions]
    return Cut(
        TIMES,
        frozenset({position}),
        {k: n for k in touched if (n := design.used(k))},
        {key: n for key, n in design.strips.items() if key[0] in set(touched)},
        dict(design.boxes),
        exact=False,
    )
