"""Which circuits of a plan are sure, and with which pulse, without checking every one.

A way that lights a single bridge lights later, or not at all, the more resistance lies before it
(see `bridgewire.uncertainty.proof`: the rate of change falls with every resistance). So of all
circuits that differ only in what lies between box and strip, those up to some resistance are sure;
the last that is and the first that is not are found by halving. For several igniters on one way
the same is taken for granted here; the check of the whole plan has the last word.
"""

from __future__ import annotations

import bisect
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from attrs import define, evolve, field

from bridgewire.model.kit import PulseChoice
from bridgewire.planner.circuits import Circuit
from bridgewire.planner.clock import Clock
from bridgewire.planner.judge import Judge
from bridgewire.planner.loads import Load
from bridgewire.planner.problem import Problem

PROBES = 7
"""Circuits looked at between the last that is sure and the first that is not, in each round."""
MOST_PULSES = 6

Group = tuple[int, Load, float]
"""Box, load and pulse: circuits of one group differ in what lies before the strip only."""


@define(eq=False)
class Electrics:
    """Knows, for every circuit asked of, the shortest pulse with which it is sure.

    Attributes
    ----------
    judge : Judge
    asked : int
        Circuits that were judged, whether by a check or by their resistance.
    """

    judge: Judge
    _pulse: dict[Circuit, float | None] = field(factory=dict)
    _assumed: set[Circuit] = field(factory=set)
    _refused: dict[tuple[Circuit, float], bool] = field(factory=dict)

    @property
    def problem(self) -> Problem:
        """Of the judge."""
        return self.judge.problem

    @property
    def clock(self) -> Clock:
        """Of the judge."""
        return self.judge.clock

    @property
    def asked(self) -> int:
        """How many circuits were judged."""
        return len(self._pulse)

    @property
    def exact_refusals(self) -> int:
        """How many circuits were refused for good."""
        return sum(self._refused.values())

    def pulse_s(self, circuit: Circuit) -> float | None:
        """The shortest pulse with which a circuit is sure; None where there is none."""
        if circuit not in self._pulse:
            self.learn([circuit])
        return self._pulse[circuit]

    def refuse(self, circuit: Circuit, pulse_s: float, *, exact: bool) -> None:
        """Take back that a circuit is sure with a pulse, and what rests on that.

        `exact` says that the check of the circuit alone refuses it, not only that of a plan.
        """
        self._refused[circuit, pulse_s] = exact
        self._pulse = {c: p for c, p in self._pulse.items() if p != pulse_s or c.box != circuit.box}
        self._assumed.intersection_update(self._pulse)

    def learn(self, circuits: Iterable[Circuit]) -> None:
        """Find the pulses of many circuits at once."""
        new = [c for c in dict.fromkeys(circuits) if c not in self._pulse]
        joint = {c: branches(c) for c in new if sum(h.load is not None for h in c.hops) > 1}
        lone = dict.fromkeys(c for c in new if c not in joint)
        lone |= dict.fromkeys(b for parts in joint.values() for b in parts if b not in self._pulse)
        self._learn_lone(list(lone))
        for circuit, parts in joint.items():
            pulses = [self._pulse[b] for b in parts]
            longest = max((p for p in pulses if p is not None), default=0.0)
            self._pulse[circuit] = None if None in pulses else longest
            self._assumed.add(circuit)

    def confirm(self, circuits: Iterable[Circuit]) -> bool:
        """Check circuits with loads at several positions, which were only thought to be sure as
        each of their branches is.

        Returns
        -------
        bool
            Whether all are sure; else all that light the same were checked as well.
        """
        asked = [c for c in dict.fromkeys(circuits) if c in self._assumed]
        self._learn_joint(asked)
        failed = {_lights(c) for c in asked if self._pulse[c] is None}
        if failed:
            self._learn_joint([c for c in self._assumed if _lights(c) in failed])
        return not failed

    def _learn_lone(self, single: Sequence[Circuit]) -> None:
        waiting: dict[tuple[int, Load], list[Circuit]] = defaultdict(list)
        for circuit in single:
            load = next(h.load for h in circuit.hops if h.load is not None)
            waiting[circuit.box, load].append(circuit)
        ohm = self.judge.worst_ohm(single)
        pulses = {k: self._choices(*k) for k in waiting}
        for number in range(max((len(p) for p in pulses.values()), default=0)):
            groups = {
                (*key, pulses[key][number]): sorted(left, key=lambda c: ohm[c])
                for key, left in waiting.items()
                if number < len(pulses[key]) and left
            }
            good = self._sure(groups, ohm)
            for (box, load, pulse_s), sure in good.items():
                for circuit in sure:
                    self._pulse[circuit] = pulse_s
                left = waiting[box, load]
                waiting[box, load] = [c for c in left if c not in sure]
        for left in waiting.values():
            for circuit in left:
                self._pulse[circuit] = None

    def _learn_joint(self, circuits: Sequence[Circuit]) -> None:
        """Circuits with loads at several positions: each is checked."""
        self._assumed.difference_update(circuits)
        choices: dict[Circuit, list[float]] = {}
        for circuit in circuits:
            loads = [h.load for h in circuit.hops if h.load is not None]
            common = [set(self._choices(circuit.box, x)) for x in loads]
            longest = max((min(c) for c in common if c), default=math.inf)
            every = sorted(set().union(*common)) if all(common) else []
            fixed = {x.pulse_s for x in loads if x.pulse_s is not None}
            choices[circuit] = [p for p in every if p >= longest and (not fixed or fixed == {p})]
        waiting = list(circuits)
        number = 0
        while waiting:
            asked = [(c, choices[c][number]) for c in waiting if number < len(choices[c])]
            self.judge.ask(asked)
            left = []
            for circuit in waiting:
                if number >= len(choices[circuit]):
                    self._pulse[circuit] = None
                elif self._good(circuit, choices[circuit][number]):
                    self._pulse[circuit] = choices[circuit][number]
                else:
                    left.append(circuit)
            waiting = left
            number += 1

    def _good(self, circuit: Circuit, pulse_s: float) -> bool:
        answer = self.judge.answers[circuit, pulse_s]
        return answer.good and (circuit, pulse_s) not in self._refused

    def _sure(
        self, groups: Mapping[Group, Sequence[Circuit]], ohm: Mapping[Circuit, float]
    ) -> dict[Group, set[Circuit]]:
        """The circuits of each group that are sure; each group in rising order of resistance."""
        ends = {g: (-1, len(c)) for g, c in groups.items()}
        looked: dict[Group, dict[int, bool]] = {g: {} for g in groups}
        while True:
            asked = [
                (g, i) for g, (low, high) in ends.items() for i in _between(low, high, looked[g])
            ]
            if not asked:
                break
            self.judge.ask((groups[g][i], g[2]) for g, i in asked)
            for g, i in asked:
                looked[g][i] = self._good(groups[g][i], g[2])
            for g in {g for g, _ in asked}:
                ends[g] = _ends(looked[g], len(groups[g]))
        out: dict[Group, set[Circuit]] = {}
        for g, circuits in groups.items():
            low, _ = ends[g]
            bad = {i for i, ok in looked[g].items() if not ok and i <= low}
            if bad:  # little resistance is against it, e.g. too much current for the output
                self.judge.ask((c, g[2]) for c in circuits[: low + 1])
                out[g] = {c for c in circuits[: low + 1] if self._good(c, g[2])}
                continue
            mine = set(circuits) if self._refused else set()
            refused = [ohm[c] for c, p in self._refused if p == g[2] and c in mine]
            end = low + 1
            if refused:
                rising = [ohm[c] for c in circuits]
                end = min(end, bisect.bisect_left(rising, min(refused)))
            out[g] = set(circuits[:end])
        return out

    def _choices(self, box: int, load: Load) -> list[float]:
        """Pulses to try, shortest first: none shorter than the class wants."""
        catalogue = self.problem.catalogue
        kind = self.problem.shelf.boxes[box].kind
        found = [catalogue.igniters.get(p.igniter_class) for p in load.parts]
        defaults = [c.default_pulse_s for c in found if c is not None and c.default_pulse_s]
        return pulse_choices(kind.pulses, max(defaults, default=None), load.pulse_s)

    def light_s(self, box: int, load: Load) -> tuple[float, float]:
        """Earliest and latest light time of a load over the circuits that were checked, s."""
        found = [
            a
            for (c, _), a in self.judge.answers.items()
            if a.good and c.box == box and any(h.load == load for h in c.hops)
        ]
        return (
            min((a.earliest_s for a in found), default=0.0),
            max((a.latest_s for a in found), default=0.0),
        )

    def exact(self) -> Electrics:
        """The same with only such refusals as hold by themselves."""
        kept: dict[tuple[Circuit, float], bool] = {k: e for k, e in self._refused.items() if e}
        return Electrics(self.judge, refused=kept)

    def relaxed(self, *keys: str) -> Electrics:
        """The same without some requirements."""
        new = evolve(self.judge.requirements, **dict.fromkeys(keys))
        kept: dict[tuple[Circuit, float], bool] = {k: e for k, e in self._refused.items() if not e}
        return Electrics(Judge(self.problem, new, self.judge.clock), refused=kept)


def branches(circuit: Circuit) -> tuple[Circuit, ...]:
    """Of a circuit with several loads, one circuit for each."""
    found = []
    for i, hop in enumerate(circuit.hops):
        if hop.load is None:
            continue
        path = [i]
        while circuit.hops[path[-1]].parent >= 0:
            path.append(circuit.hops[path[-1]].parent)
        hops = [circuit.hops[k] for k in reversed(path)]
        found.append(
            Circuit(
                circuit.box,
                tuple(
                    evolve(h, parent=n - 1, load=h.load if n == len(hops) - 1 else None)
                    for n, h in enumerate(hops)
                ),
            )
        )
    return tuple(found)


def _lights(circuit: Circuit) -> tuple[int, tuple[Load, ...]]:
    return circuit.box, tuple(h.load for h in circuit.hops if h.load is not None)


def pulse_choices(
    offered: PulseChoice | None, default_s: float | None, fixed_s: float | None
) -> list[float]:
    """Pulses to try, shortest first.

    Parameters
    ----------
    offered : PulseChoice or None
        What the box offers.
    default_s : float or None
        The shortest that the igniter class wants.
    fixed_s : float or None
        The only one that will do.

    Examples
    --------
    >>> pulse_choices(PulseChoice((0.02, 0.05, 0.1)), 0.05, None)
    [0.05, 0.1]
    >>> pulse_choices(PulseChoice(min_s=0.05, max_s=1.0, step_s=0.05), 0.12, None)
    [0.15, 0.3, 0.6, 1.0]
    """
    if fixed_s is not None:
        return [fixed_s] if offered is None or offered.offers(fixed_s) else []
    if offered is None:
        return [] if default_s is None else [default_s]
    if offered.offered_s:
        rising = sorted(offered.offered_s)
        long_enough = [p for p in rising if default_s is None or p >= default_s - 1e-9]
        return (long_enough or rising[-1:])[:MOST_PULSES]
    if offered.max_s is None:
        return []
    first = offered.shortest_at_least(default_s or offered.min_s or 0.0)
    found: list[float] = []
    pulse = first
    while pulse is not None and len(found) < MOST_PULSES - 1 and pulse < offered.max_s - 1e-9:
        found.append(pulse)
        pulse = offered.shortest_at_least(2 * pulse)
    return [*found, offered.max_s]


def _between(low: int, high: int, looked: Mapping[int, bool]) -> list[int]:
    gap = high - low - 1
    if gap <= 0:
        return []
    spots = {low + 1, high - 1} if not looked else set()
    number = min(PROBES, gap)
    spots |= {low + 1 + (k * (gap - 1)) // max(number - 1, 1) for k in range(number)}
    return sorted(i for i in spots if i not in looked)


def _ends(looked: Mapping[int, bool], length: int) -> tuple[int, int]:
    good = [i for i, ok in looked.items() if ok]
    low = max(good, default=-1)
    bad = [i for i, ok in looked.items() if not ok and i > low]
    return low, min(bad, default=length)
