"""Which cue goes to which output, and which output to which box, so that no two clash."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import Any

from attrs import define, field, frozen

from bridgewire.planner.choice import Choice
from bridgewire.planner.clock import Clock
from bridgewire.planner.demand_names import TIMES
from bridgewire.planner.design import Cut, Design
from bridgewire.planner.feeds import Feed, FeedClass, Take, strips_at
from bridgewire.planner.problem import Problem
from bridgewire.planner.solver import cp_model, new_solver
from bridgewire.planner.timing import crowds

Pair = tuple[int, int]
"""Two cues, the lower index first."""


@frozen
class Placed:
    """One output with what it feeds.

    Attributes
    ----------
    feed : Feed
    box : tuple of (int, str, int)
        Index in the stock of boxes, place, and which of the boxes there (from 0).
    strips : mapping of str to str
        Kind of the strip at each position.
    cues : tuple of (int, Take)
        What it fires, one way each.
    """

    feed: Feed
    box: tuple[int, str, int]
    strips: Mapping[str, str]
    cues: tuple[tuple[int, Take], ...]


@define(eq=False)
class _Output:
    """An output to be filled."""

    number: int
    klass: FeedClass
    feed: Feed


@define(eq=False, slots=False)
class Placing:
    """Fills the outputs of a design.

    Attributes
    ----------
    problem : Problem
    choice : Choice
    design : Design
    apart : collection of (int, int)
        Pairs of cues that may not be fired from one box, beside those that clash anyway.
    limits : mapping of int to int
        By group, how many parts of a cue one box may fire.
    clock : Clock
        Where the time is up, a cut is not made wider any more.
    """

    problem: Problem
    choice: Choice
    design: Design
    apart: Collection[Pair] = ()
    limits: Mapping[int, int] = field(factory=dict)
    clock: Clock = field(factory=Clock)
    outputs: list[_Output] = field(init=False)
    _model: Any = field(init=False, default=None)

    def __attrs_post_init__(self) -> None:
        self.outputs = []
        for klass in self.choice.classes:
            for feed in klass.feeds:
                for _ in range(self.design.feeds.get(feed, 0)):
                    self.outputs.append(_Output(len(self.outputs), klass, feed))

    def solve(self, seconds: float, seed: int) -> tuple[Placed, ...] | Cut | None:
        """Fill the outputs.

        Returns
        -------
        tuple of Placed, or a Cut that shuts out this design and others that fail alike, or None
        where time ran out.
        """
        found = self._try(frozenset(self.problem.positions), seconds, seed)
        if found is None or not isinstance(found, bool):
            return found
        return self._cut(seconds, seed)

    def _cut(self, seconds: float, seed: int) -> Cut:
        """Leave positions out one by one while it still fails."""
        needed = set(self.problem.positions)
        for position in self.problem.positions:
            if self.clock.out:
                break
            if self._try(frozenset(needed - {position}), seconds / 10, seed) is False:
                needed.discard(position)
        touched = [k for k in self.choice.classes if not needed.isdisjoint(k.shape.positions)]
        return Cut(
            TIMES,
            frozenset(needed),
            {k: n for k in touched if (n := self.design.used(k))},
            {key: n for key, n in self.design.strips.items() if key[0] in set(touched)},
            dict(self.design.boxes),
            exact=not self.apart and not self.limits,
        )

    def _try(
        self, positions: frozenset[str], seconds: float, seed: int
    ) -> tuple[Placed, ...] | bool | None:
        """Fill for some positions; False where that is impossible, None where time ran out."""
        cp = cp_model()
        self._model = cp.CpModel()
        fired = self._cover(positions)
        kinds = self._rooms(fired)
        self._outputs_apart(fired)
        boxes = self._boxes(fired)
        solver = new_solver(seconds, seed)
        status = solver.solve(self._model)
        if status == cp.INFEASIBLE:
            return False
        if status not in (cp.OPTIMAL, cp.FEASIBLE):
            return None
        placed = []
        for output in self.outputs:
            n = output.number
            cues = tuple(
                (c, take) for (c, k, take), v in fired.items() if k == n and solver.boolean_value(v)
            )
            shape = output.feed.shape
            strips = {
                p: next(f for f, v in kinds[n, p].items() if solver.boolean_value(v))
                for p in shape.positions
            }
            of_box = boxes[n]
            which = next((i for i, v in enumerate(of_box) if solver.boolean_value(v)), 0)
            placed.append(Placed(output.feed, (shape.box, shape.place, which), strips, cues))
        return tuple(placed)

    def _cover(self, positions: frozenset[str]) -> dict[tuple[int, int, Take], Any]:
        fired: dict[tuple[int, int, Take], Any] = {}
        by_need: dict[tuple[int, str], list[Any]] = defaultdict(list)
        for output in self.outputs:
            for take in output.klass.takes:
                for cue in self.choice.members[take.group]:
                    v = self._model.new_bool_var("")
                    fired[cue, output.number, take] = v
                    for position in take.positions:
                        by_need[cue, position].append(v)
        for position, cues in self.problem.at.items():
            for cue in cues:
                if position in positions:
                    self._model.add_exactly_one(by_need[cue, position])
                else:
                    self._model.add_at_most_one(by_need[cue, position])
        return fired

    def _rooms(
        self, fired: Mapping[tuple[int, int, Take], Any]
    ) -> dict[tuple[int, str], dict[str, Any]]:
        kinds: dict[tuple[int, str], dict[str, Any]] = {}
        on: dict[int, list[Any]] = defaultdict(list)
        on_strip: dict[tuple[int, str], list[Any]] = defaultdict(list)
        for (_, n, take), v in fired.items():
            on[n].append(v)
            for position in take.positions:
                on_strip[n, position].append(v)
        limits: dict[tuple[FeedClass, str, str], list[Any]] = defaultdict(list)
        for output in self.outputs:
            shape = output.feed.shape
            kind = self.problem.shelf.boxes[shape.box].kind
            room = max(kind.ways - self.problem.site.plan.spare_ways, 0)
            self._model.add(sum(on[output.number]) <= room)
            for position in shape.positions:
                fitting = strips_at(self.problem, shape, position)
                mine = {full: self._model.new_bool_var("") for full, _, _ in fitting}
                self._model.add_exactly_one(mine.values())
                rooms = sum(min(k.ways, room) * mine[full] for full, k, _ in fitting)
                self._model.add(sum(on_strip[output.number, position]) <= rooms)
                kinds[output.number, position] = mine
                for full, v in mine.items():
                    limits[output.klass, position, full].append(v)
        for key, strips in limits.items():
            self._model.add(sum(strips) <= self.design.strips.get(key, 0))
        return kinds

    def _outputs_apart(self, fired: Mapping[tuple[int, int, Take], Any]) -> None:
        """No two cues that clash on one output, and none twice."""
        by_output: dict[int, dict[int, list[Any]]] = defaultdict(lambda: defaultdict(list))
        for (cue, n, _), v in fired.items():
            by_output[n][cue].append(v)
        for output in self.outputs:
            mine = by_output[output.number]
            hold = self.problem.shelf.boxes[output.feed.shape.box].kind.hold_off
            pause = self.problem.site.plan.apart_s
            if hold is not None and hold.scope == "output":
                pause = max(pause, hold.time_s)
            for literals in mine.values():
                self._model.add_at_most_one(literals)
            for crowd in crowds(self.choice.busy, mine, pause):
                self._model.add_at_most_one([v for c in crowd for v in mine[c]])

    def _boxes(self, fired: Mapping[tuple[int, int, Take], Any]) -> dict[int, list[Any]]:
        """Which box each output is on; cues that cannot share a box do not."""
        by_spot: dict[tuple[int, str], list[_Output]] = defaultdict(list)
        for output in self.outputs:
            by_spot[output.feed.shape.box, output.feed.shape.place].append(output)
        on_box: dict[int, list[Any]] = {}
        for (box, place), outputs in by_spot.items():
            number = self.design.boxes.get((box, place), 0)
            kind = self.problem.shelf.boxes[box].kind
            for i, output in enumerate(outputs):
                mine = [self._model.new_bool_var("") for _ in range(number)]
                self._model.add_exactly_one(mine)
                on_box[output.number] = mine
                for v in mine[i + 1 :]:  # boxes at one place are alike: fill them in order
                    self._model.add(v == 0)
            for b in range(number):
                self._model.add(sum(on_box[o.number][b] for o in outputs) <= kind.outputs)
                self._box_apart(fired, outputs, on_box, b)
        return on_box

    def _box_apart(
        self,
        fired: Mapping[tuple[int, int, Take], Any],
        outputs: list[_Output],
        on_box: Mapping[int, list[Any]],
        b: int,
    ) -> None:
        hold = self.problem.shelf.boxes[outputs[0].feed.shape.box].kind.hold_off
        held = hold is not None and hold.scope == "box"
        self._limited(fired, outputs, on_box, b)
        if not held and not self.apart:
            return
        numbers = {o.number for o in outputs}
        from_box: dict[int, Any] = {}
        for (cue, n, _), v in fired.items():
            if n in numbers:
                if cue not in from_box:
                    from_box[cue] = self._model.new_bool_var("")
                self._model.add_bool_or([~v, ~on_box[n][b], from_box[cue]])
        for one, other in self.apart:
            if one in from_box and other in from_box:
                self._model.add_at_most_one([from_box[one], from_box[other]])
        if not held or hold is None:
            return
        for crowd in crowds(self.choice.busy, from_box, hold.time_s):
            for i, one in enumerate(crowd):
                for other in crowd[i + 1 :]:
                    moments = {self.choice.busy[c].moment for c in (one, other)}
                    if len(moments) > 1 or None in moments:
                        self._model.add_at_most_one([from_box[one], from_box[other]])

    def _limited(
        self,
        fired: Mapping[tuple[int, int, Take], Any],
        outputs: list[_Output],
        on_box: Mapping[int, list[Any]],
        b: int,
    ) -> None:
        """No more parts of a cue from one box than it can bear."""
        numbers = {o.number for o in outputs}
        parts: dict[int, list[Any]] = defaultdict(list)
        most: dict[int, int] = {}
        for (cue, n, take), v in fired.items():
            if n not in numbers or take.group not in self.limits:
                continue
            most[cue] = self.limits[take.group]
            both = self._model.new_bool_var("")
            self._model.add_bool_or([~v, ~on_box[n][b], both])
            parts[cue].append(both)
        for cue, literals in parts.items():
            self._model.add(sum(literals) <= most[cue])
