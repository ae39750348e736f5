"""Which feeds to use, how often, and where the boxes stand: an integer programme.

Cues of one group (the same loads at the same positions) are interchangeable here; which of them
goes where, so that none clash, is decided afterwards (`bridgewire.planner.placing`), and what
fails there comes back as cuts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from attrs import define, field, frozen

from bridgewire.planner.cutting import pieces_m
from bridgewire.planner.demand_names import CROSSINGS, TIMES, Demand, stock_of, wanted_at
from bridgewire.planner.design import Cut, Design
from bridgewire.planner.feeds import Feed, FeedClass, Group, Take, loads_of, strips_at
from bridgewire.planner.linear_bound import linear_bound
from bridgewire.planner.prices import Prices
from bridgewire.planner.problem import Problem
from bridgewire.planner.routes import Route, cross
from bridgewire.planner.shapes import Shape
from bridgewire.planner.solver import cp_model, new_solver
from bridgewire.planner.timing import Busy, crowds

BOUNDING = ("lb_tree_search", "max_lp")
"""How the solver seeks a bound."""
PLENTY = 10_000
"""Of anything whose stock does not count."""


@frozen
class Choice:
    """What the master has to choose from.

    Attributes
    ----------
    classes : tuple of FeedClass
    groups : tuple of Group
    members : tuple of tuple of int
        Cues of each group.
    busy : tuple of Busy
        Of each cue.
    """

    classes: tuple[FeedClass, ...]
    groups: tuple[Group, ...]
    members: tuple[tuple[int, ...], ...]
    busy: tuple[Busy, ...]


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
    model: Any = field(init=False, default=None)
    uses: dict[Feed, Any] = field(init=False, factory=dict)
    ways: dict[tuple[FeedClass, Take], Any] = field(init=False, factory=dict)
    strips: dict[tuple[FeedClass, str, str], Any] = field(init=False, factory=dict)
    boxes: dict[tuple[int, str], Any] = field(init=False, factory=dict)
    _used: dict[FeedClass, Any] = field(init=False, factory=dict)

    def build(self) -> None:
        """Make the model."""
        self.model = cp_model().CpModel()
        self._make_boxes()
        for klass in self.choice.classes:
            self._make_class(klass)
        self._cover()
        self._outputs()
        self._least()
        self._stock()
        if TIMES not in self.relaxed:
            self._times()
            self._limits()
        if self.problem.site.plan.crossings == "avoid" and CROSSINGS not in self.relaxed:
            self._crossings()
        for number, cut in enumerate(self.cuts):
            if cut.demand not in self.relaxed:
                self._cut(number, cut)
        self.model.minimize(sum(c * v for v, c in self._priced()))

    def least_outputs(self, seconds: float) -> int:
        """How many outputs any design has at least, by the linear relaxation."""
        if self.model is None:
            self.build()
        self.model.minimize(sum(self._used.values()))
        least = linear_bound(self.model, seconds)
        self.model.minimize(sum(c * v for v, c in self._priced()))
        return int(least)

    def linear_bound(self, seconds: float) -> float:
        """A bound of the cost by the linear relaxation; 0 where time does not do."""
        if self.model is None:
            self.build()
        return linear_bound(self.model, seconds)

    def solve(
        self,
        seconds: float,
        seed: int,
        hint: Design | None = None,
        bounding: bool = False,
        workers: int = 2,
    ) -> Solved:
        """Solve; a hint is a design to start from, `bounding` seeks a bound above all."""
        if self.model is None:
            self.build()
        cp = cp_model()
        self.model.clear_hints()
        if hint is not None:
            pairs: tuple[tuple[Mapping[Any, Any], Mapping[Any, int]], ...] = (
                (self.uses, hint.feeds),
                (self.boxes, hint.boxes),
                (self.ways, hint.ways),
                (self.strips, hint.strips),
            )
            for variables, values in pairs:
                for key, v in variables.items():
                    if not isinstance(v, int):
                        self.model.add_hint(v, values.get(key, 0))
        solver = new_solver(seconds, seed, workers)
        if bounding:
            solver.parameters.subsolvers.extend(BOUNDING[: max(workers, 1)])
        status = solver.solve(self.model)
        found = status in (cp.OPTIMAL, cp.FEASIBLE)
        bound = float(solver.best_objective_bound) if found or status == cp.UNKNOWN else 0.0
        return Solved(
            self._design(solver) if found else None,
            status == cp.OPTIMAL,
            status == cp.INFEASIBLE,
            max(bound, 0.0),
        )

    def _design(self, solver: Any) -> Design:
        def values(of: Mapping[Any, Any]) -> dict[Any, int]:
            return {k: n for k, v in of.items() if (n := int(solver.value(v)))}

        return Design(
            values(self.uses),
            values(self.ways),
            values(self.strips),
            values(self.boxes),
            round(solver.objective_value),
        )

    # -- variables ---------------------------------------------------------------------------

    def _make_boxes(self) -> None:
        spots = dict.fromkeys((c.shape.box, c.shape.place) for c in self.choice.classes)
        for box, place in spots:
            stock = self.problem.shelf.boxes[box]
            most = self._most(stock_of(stock.item), stock.count)
            need = sum(len(m) for m in self.choice.members) * len(self.problem.positions)
            self.boxes[box, place] = self.model.new_int_var(
                0, min(most, need), f"boxes {box} at {place}"
            )

    def _make_class(self, klass: FeedClass) -> None:
        shape = klass.shape
        if self.kept is not None and not (
            self.free.issuperset(shape.positions) or frozenset(shape.positions) in self.sets
        ):
            self._keep(klass, self.kept)
            return
        cues = sum(len(self.choice.members[t.group]) for t in klass.takes)
        kind = self.problem.shelf.boxes[shape.box].kind
        room = max(kind.ways - self.problem.site.plan.spare_ways, 0)
        for feed in klass.feeds:
            self.uses[feed] = self.model.new_int_var(0, cues, "")
        used = sum(self.uses[f] for f in klass.feeds)
        self._used[klass] = used
        for take in klass.takes:
            most = len(self.choice.members[take.group])
            self.ways[klass, take] = self.model.new_int_var(0, most, "")
        for take in klass.takes:
            most = min(room, len(self.choice.members[take.group]))
            self.model.add(self.ways[klass, take] <= most * used)
        ways = sum(self.ways[klass, t] for t in klass.takes)
        self.model.add(ways <= min(room, cues) * used)
        for position in shape.positions:
            here = sum(self.ways[klass, t] for t in klass.takes if position in t.positions)
            kinds = strips_at(self.problem, shape, position)
            for full, _, _ in kinds:
                self.strips[klass, position, full] = self.model.new_int_var(0, cues, "")
            chosen = [self.strips[klass, position, full] for full, _, _ in kinds]
            self.model.add(sum(chosen) == used)
            most = min(room, len(self.problem.at[position]))
            rooms = [min(k.ways, most) for _, k, _ in kinds]
            self.model.add(here <= sum(r * v for r, v in zip(rooms, chosen, strict=True)))

    def _keep(self, klass: FeedClass, kept: Design) -> None:
        """Numbers in place of variables; nothing at all where there is no such feed."""
        used = kept.used(klass)
        if not used:
            return
        self._used[klass] = used
        for feed in klass.feeds:
            if feed in kept.feeds:
                self.uses[feed] = kept.feeds[feed]
        for take in klass.takes:
            self.ways[klass, take] = kept.ways.get((klass, take), 0)
        for position in klass.shape.positions:
            for full, _, _ in strips_at(self.problem, klass.shape, position):
                self.strips[klass, position, full] = kept.strips.get((klass, position, full), 0)

    # -- what must hold ----------------------------------------------------------------------

    def _cover(self) -> None:
        by_need: dict[tuple[int, str], list[Any]] = defaultdict(list)
        for (_, take), v in self.ways.items():
            for position in take.positions:
                by_need[take.group, position].append(v)
        for g, group in enumerate(self.choice.groups):
            for position, _ in group:
                if wanted_at(position) not in self.relaxed:
                    self.model.add(sum(by_need[g, position]) == len(self.choice.members[g]))

    def _least(self) -> None:
        """What follows for whole numbers, and helps the solver to bound."""
        if any(d.kind == "wanted" for d in self.relaxed):
            return
        plan = self.problem.site.plan
        rooms = [max(b.kind.ways - plan.spare_ways, 1) for b in self.problem.shelf.boxes]
        room = max(rooms, default=1)
        for position, cues in self.problem.at.items():
            reaching = [u for k, u in self._used.items() if position in k.shape.positions]
            self.model.add(sum(reaching) >= -(-len(cues) // room))
            if self.problem.shelf.strips:
                widest = min(room, self.problem.shelf.strips[-1][1].ways)
                strips = [v for (_, p, _), v in self.strips.items() if p == position]
                self.model.add(sum(strips) >= -(-len(cues) // widest))
        self._strip_costs()
        outputs = max(-(-len(self.problem.cues) // room), self.outputs)
        self.model.add(sum(self._used.values()) >= outputs)
        most = max((b.kind.outputs for b in self.problem.shelf.boxes), default=1)
        self.model.add(sum(self.boxes.values()) >= -(-outputs // most))

    def _strip_costs(self) -> None:
        """The cheapest strips for the cues at a position cost no less as parts of a strip do."""
        plan, shelf = self.problem.site.plan, self.problem.shelf
        room = max((max(b.kind.ways - plan.spare_ways, 1) for b in shelf.boxes), default=1)
        kinds = [
            (min(k.ways, room), self.prices.whole(self.prices.part("strip", f)), f)
            for f, k, _ in shelf.strips
        ]
        for position, cues in self.problem.at.items():
            least = [0] + [0] * len(cues)
            for n in range(1, len(cues) + 1):
                least[n] = min(price + least[max(n - ways, 0)] for ways, price, _ in kinds)
            prices = {f: price for _, price, f in kinds}
            terms = [prices[f] * v for (_, p, f), v in self.strips.items() if p == position]
            self.model.add(sum(terms) >= least[-1])

    def _outputs(self) -> None:
        by_spot: dict[tuple[int, str], list[Any]] = defaultdict(list)
        for klass, used in self._used.items():
            by_spot[klass.shape.box, klass.shape.place].append(used)
        for (box, place), used in by_spot.items():
            outputs = self.problem.shelf.boxes[box].kind.outputs
            self.model.add(sum(used) <= outputs * self.boxes[box, place])

    def _stock(self) -> None:
        shelf = self.problem.shelf
        for box, stock in enumerate(shelf.boxes):
            here = [v for (b, _), v in self.boxes.items() if b == box]
            if here and stock_of(stock.item) not in self.relaxed:
                self.model.add(sum(here) <= stock.count)
        for full, _, count in shelf.strips:
            here = [v for (_, _, k), v in self.strips.items() if k == full]
            if here and stock_of(full) not in self.relaxed:
                self.model.add(sum(here) <= count)
        for full, _, count in shelf.splitters:
            used = [u for k, u in self._used.items() if k.shape.splitter == full]
            if used and stock_of(full) not in self.relaxed:
                self.model.add(sum(used) <= count)
        self._igniters()
        self._cable()

    def _igniters(self) -> None:
        for full, count in self.problem.shelf.igniters:
            if stock_of(full) in self.relaxed:
                continue
            lit: list[Any] = []
            for (_, take), ways in self.ways.items():
                loads = loads_of(self.choice.groups[take.group], take.positions).values()
                number = sum(p.count for x in loads for p in x.parts if p.igniter_class == full)
                if number:
                    lit.append(number * ways)
            if lit:
                self.model.add(sum(lit) <= count)

    def _cable(self) -> None:
        """Metres on all drums; drums for pieces of which none takes two; made-up cables."""
        for cable in self.problem.shelf.cables:
            if stock_of(cable.item) in self.relaxed:
                continue
            metres: list[tuple[int, Any]] = []
            whole: dict[float, list[Any]] = defaultdict(list)
            long: list[Any] = []
            longest = cable.drums[0].length_m if cable.drums else 0.0
            for feed, v in self.uses.items():
                mine = [lay for lay in feed.lays if lay.cable == cable.item]
                cut = [m for lay in mine if not lay.whole for m in pieces_m(self.problem, lay)]
                if cut:
                    metres.append((round(sum(cut) * 1000), v))
                    pieces = sum(m > longest / 2 + 1e-6 for m in cut)
                    if pieces:
                        long.append(pieces * v)
                for lay in mine:
                    if lay.whole:
                        whole[lay.length_m].append(v)
            if metres:
                have = int(cable.on_drums_m * 1000 + 1e-6)
                self.model.add(sum(m * v for m, v in metres) <= have)
            if long:
                self.model.add(sum(long) <= sum(p.count for p in cable.drums))
            for piece in cable.whole:
                if whole[piece.length_m]:
                    self.model.add(sum(whole[piece.length_m]) <= piece.count)

    def _times(self) -> None:
        """Cues that clash need an output each; and a box each where the whole box is held off."""
        plan = self.problem.site.plan
        reaching: dict[str, list[Any]] = defaultdict(list)
        for klass, used in self._used.items():
            for position in klass.shape.positions:
                reaching[position].append(used)
        for position, cues in self.problem.at.items():
            if wanted_at(position) in self.relaxed:
                continue
            crowd = max(crowds(self.choice.busy, cues, plan.apart_s), key=len, default=())
            if len(crowd) > 1:
                self.model.add(sum(reaching[position]) >= len(crowd))
        for box, place in self.boxes:
            hold = self.problem.shelf.boxes[box].kind.hold_off
            if hold is not None and hold.scope == "box":
                self._held_box(box, place, hold.time_s)

    def _limits(self) -> None:
        by_spot: dict[tuple[int, tuple[int, str]], list[Any]] = defaultdict(list)
        for (klass, take), v in self.ways.items():
            if take.group in self.limits:
                by_spot[take.group, (klass.shape.box, klass.shape.place)].append(v)
        for (group, spot), ways in by_spot.items():
            most = self.limits[group] * len(self.choice.members[group])
            self.model.add(sum(ways) <= most * self.boxes[spot])

    def _held_box(self, box: int, place: str, hold_s: float) -> None:
        classes = [k for k in self.choice.classes if (k.shape.box, k.shape.place) == (box, place)]
        groups = {t.group for k in classes for t in k.takes}
        fired = {c: self.model.new_bool_var("") for g in groups for c in self.choice.members[g]}
        for g in groups:
            for position, _ in self.choice.groups[g]:
                ways = [
                    self.ways[k, t]
                    for k in classes
                    for t in k.takes
                    if t.group == g and position in t.positions and (k, t) in self.ways
                ]
                if ways:
                    self.model.add(sum(ways) <= sum(fired[c] for c in self.choice.members[g]))
        for crowd in crowds(self.choice.busy, fired, hold_s):
            commands: dict[object, list[Any]] = defaultdict(list)
            for c in crowd:
                moment = self.choice.busy[c].moment
                commands[("one", c) if moment is None else moment].append(fired[c])
            if len(commands) < 2:
                continue
            given = []
            for literals in commands.values():
                if len(literals) == 1:
                    given.append(literals[0])
                    continue
                any_of = self.model.new_bool_var("")
                self.model.add_bool_or(literals).only_enforce_if(any_of)
                for literal in literals:
                    self.model.add_implication(literal, any_of)
                given.append(any_of)
            self.model.add(sum(given) <= self.boxes[box, place])

    def _crossings(self) -> None:
        by_route: dict[tuple[str, str], list[Shape]] = defaultdict(list)
        routes: dict[tuple[str, str], Route] = {}
        used: dict[Shape, list[Any]] = defaultdict(list)
        for klass, v in self._used.items():
            used[klass.shape].append(v)
        for shape in used:
            for route in shape.routes:
                a, b = sorted((route.start, route.end))
                if a != b:
                    routes.setdefault((a, b), route)
                    by_route[a, b].append(shape)
        keys = list(routes)
        laid: dict[tuple[str, str], Any] = {}

        def is_laid(key: tuple[str, str]) -> Any:
            if key not in laid:
                laid[key] = self.model.new_bool_var("")
                for shape in dict.fromkeys(by_route[key]):
                    for v in used[shape]:
                        self.model.add(v == 0).only_enforce_if(~laid[key])
            return laid[key]

        for i, one in enumerate(keys):
            for other in keys[i + 1 :]:
                if cross(routes[one], routes[other]):
                    self.model.add_bool_or([~is_laid(one), ~is_laid(other)])

    def _cut(self, number: int, cut: Cut) -> None:
        """At least one thing must be more than it was, or one less."""
        literals = []
        for count, limit, more in (
            *((self._used.get(k, 0), n, True) for k, n in cut.more_of(self.choice.classes)),
            *(
                (v, cut.strips.get(key, 0), True)
                for key, v in self.strips.items()
                if cut.touches(key[0])
            ),
            *((v, cut.boxes[key], True) for key, v in self.boxes.items() if key in cut.boxes),
            *((self._pieces(cut.cable, m), n, False) for m, n in cut.fewer_pieces.items()),
        ):
            literal = self.model.new_bool_var(f"cut {number}")
            if more:
                self.model.add(count >= limit + 1).only_enforce_if(literal)
            else:
                self.model.add(count <= limit - 1).only_enforce_if(literal)
            literals.append(literal)
        self.model.add_bool_or(literals)

    def _pieces(self, cable: str, from_m: float) -> Any:
        """How many pieces of a cable, cut from drums, are at least so long."""
        terms = []
        for feed, v in self.uses.items():
            number = sum(
                m >= from_m - 1e-6
                for lay in feed.lays
                if lay.cable == cable and not lay.whole
                for m in pieces_m(self.problem, lay)
            )
            if number:
                terms.append(number * v)
        return sum(terms)

    # -- what it costs -----------------------------------------------------------------------

    def _priced(self) -> list[tuple[Any, int]]:
        cost = self._costs()
        return [
            *((v, cost(("feed", f))) for f, v in self.uses.items()),
            *((v, cost(("strip", key[2]))) for key, v in self.strips.items()),
            *((v, cost(("box", key[0]))) for key, v in self.boxes.items()),
        ]

    def _costs(self) -> Callable[[tuple[str, Any]], int]:
        prices = self.prices
        runs: dict[Any, int] = {}
        output = prices.whole(prices.output())
        parts: dict[tuple[str, str], int] = {}

        def part(table: str, full: str) -> int:
            if (table, full) not in parts:
                parts[table, full] = prices.whole(prices.part(table, full))
            return parts[table, full]

        def cost(what: tuple[str, Any]) -> int:
            kind, item = what
            if kind == "strip":
                return part("strip", item)
            if kind == "box":
                return part("box", self.problem.shelf.boxes[item].item)
            total = output
            for lay in item.lays:
                if lay not in runs:
                    runs[lay] = prices.whole(prices.run(lay))
                total += runs[lay]
            if item.shape.splitter is not None:
                total += part("splitter", item.shape.splitter)
            return total

        return cost

    def _most(self, demand: Demand, count: int) -> int:
        return PLENTY if demand in self.relaxed else count
