"""Which pieces to cut from which drum: exact, by integer programming on whole steps of length.

Each way to cut a drum is a path in a graph whose nodes are the steps used so far: an arc for each
piece, longest first, and at the end an arc to the drum. All drums together are an integer flow (the
arc-flow model of J. M. Valério de Carvalho, Annals of Operations Research 86, 1999; from memory).
HiGHS solves it, through ``scipy.optimize.milp``.
"""

from __future__ import annotations

import math
import time
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from attrs import define, evolve, field, frozen

from bridgewire.errors import BridgewireError

MAX_ARCS = 60_000
"""Above this size a quick plan is made, whose distance from the best is bounded, not nought."""

TIDY_S = 8.0
"""Longest time spent on what is opened and left over once the least number of drums is known, s."""


class SolverMissingError(BridgewireError):
    """scipy is not installed; the text says what to do."""


@frozen
class Stock:
    """Drums alike: `count` of them, each `length` steps long."""

    id: str
    length: int
    count: int


@frozen
class Demand:
    """Pieces alike: `count` of them, each `length` steps long, above 0."""

    length: int
    count: int
    pinned: str | None = None
    """Id of the drums that they must be cut from; any where None."""


@frozen
class Cut:
    """One drum that is cut."""

    stock: str
    pieces: tuple[Demand, ...]
    """What is cut, longest first; each with a count of 1."""
    left: int
    """Steps left on the drum."""


@frozen
class Plan:
    """How to cut.

    Attributes
    ----------
    cuts : tuple of Cut
        One for each drum that is opened.
    uncut : tuple of Demand
        Pieces that no drum has cable for; the least total length possible where `proven`.
    tidy : bool
        Whether, among plans that leave as little uncut and open as few drums, nothing better
        exists: first the least cable on the drums opened, then the least waste, then the longest
        single left-over.
    least_uncut, least_drums : int
        Bounds: no plan leaves less uncut; no plan that leaves as little needs fewer drums.
    """

    cuts: tuple[Cut, ...]
    uncut: tuple[Demand, ...]
    tidy: bool
    least_uncut: int
    least_drums: int

    @property
    def uncut_length(self) -> int:
        """Total length of what cannot be cut, in steps."""
        return sum(d.length * d.count for d in self.uncut)

    @property
    def proven(self) -> bool:
        """Whether it reaches both bounds: no plan leaves less uncut or, then, needs fewer drums."""
        return self.uncut_length == self.least_uncut and len(self.cuts) == self.least_drums


def plan_cuts(
    stocks: Sequence[Stock],
    demands: Sequence[Demand],
    *,
    keep_from: int = 0,
    time_limit_s: float = 20.0,
) -> Plan:
    """Find the best way to cut pieces from drums.

    Parameters
    ----------
    stocks : sequence of Stock
        With different ids.
    demands : sequence of Demand
    keep_from : int
        Left-overs of fewer steps are waste.
    time_limit_s : float
        Time for the search, s, above 0.

    Returns
    -------
    Plan

    Raises
    ------
    SolverMissingError
        If scipy is not installed.
    ValueError
        For lengths or counts below 1.

    References
    ----------
    J. M. Valério de Carvalho, "Exact solution of bin-packing problems using column generation and
    branch-and-bound", Annals of Operations Research 86 (1999) (from memory).

    Examples
    --------
    >>> plan = plan_cuts([Stock("reel", 10, 3)], [Demand(6, 1), Demand(5, 2), Demand(4, 1)])
    >>> [[p.length for p in c.pieces] for c in plan.cuts], plan.proven
    ([[6, 4], [5, 5]], True)
    """
    sizes = [(s.length, s.count) for s in stocks] + [(d.length, d.count) for d in demands]
    if any(length < 1 or count < 1 for length, count in sizes):
        raise ValueError("lengths and counts are at least 1")
    known = {s.id for s in stocks}
    merged: Counter[tuple[int, str | None]] = Counter()
    for d in demands:
        merged[(d.length, d.pinned)] += d.count
    # Drums beyond one for each piece change nothing.
    pieces = sum(d.count for d in demands)
    stocks = [evolve(s, count=min(s.count, pieces)) for s in stocks] if demands else []
    ordered = [Demand(n, c, pin) for (n, pin), c in sorted(merged.items(), key=_longest_first)]
    longest = max((s.length for s in stocks), default=0)
    by_id = {s.id: s for s in stocks}
    hopeless = [d for d in ordered if d.length > _room(d, by_id, known, longest)]
    rest = [d for d in ordered if d not in hopeless]
    plan = _searched(stocks, rest, keep_from, time_limit_s) if rest else Plan((), (), True, 0, 0)
    lost = sum(d.length * d.count for d in hopeless)
    return Plan(
        plan.cuts,
        (*hopeless, *plan.uncut),
        plan.tidy,
        plan.least_uncut + lost,
        plan.least_drums,
    )


def _longest_first(item: tuple[tuple[int, str | None], int]) -> tuple[int, str]:
    (length, pinned), _ = item
    return -length, pinned or ""


def _room(d: Demand, by_id: Mapping[str, Stock], known: set[str], longest: int) -> int:
    if d.pinned is None:
        return longest
    return by_id[d.pinned].length if d.pinned in known else 0


def _searched(
    stocks: Sequence[Stock], demands: list[Demand], keep_from: int, time_limit_s: float
) -> Plan:
    quick = _quick_plan(stocks, demands)
    scale = math.gcd(*(d.length for d in demands))
    graphs = _graphs(stocks, demands, scale)
    if graphs is None:
        return quick
    model = _Model(graphs, demands)
    model.deadline = time.monotonic() + time_limit_s
    return model.solve(keep_from, quick)


def _quick_plan(stocks: Sequence[Stock], demands: Sequence[Demand]) -> Plan:
    """Longest pieces first, each from the opened drum with the least room that it fits."""
    free = {s.id: s.count for s in stocks}
    lengths = {s.id: s.length for s in stocks}
    opened: list[tuple[str, list[Demand]]] = []
    room: list[int] = []
    uncut: Counter[Demand] = Counter()
    for d in demands:
        one = Demand(d.length, 1, d.pinned)
        for _ in range(d.count):
            fits = [
                i
                for i, (name, _) in enumerate(opened)
                if room[i] >= d.length and d.pinned in (None, name)
            ]
            if fits:
                i = min(fits, key=lambda k: room[k])
            else:
                fresh = [
                    s
                    for s, n in free.items()
                    if n and lengths[s] >= d.length and d.pinned in (None, s)
                ]
                if not fresh:
                    uncut[d] += 1
                    continue
                name = max(fresh, key=lambda s: lengths[s])
                free[name] -= 1
                opened.append((name, []))
                room.append(lengths[name])
                i = len(opened) - 1
            opened[i][1].append(one)
            room[i] -= d.length
    total = sum(d.length * d.count for d in demands)
    have = sum(s.length * s.count for s in stocks)
    least_uncut = max(0, total - have)
    need = total - sum(d.length * n for d, n in uncut.items())
    least = 0
    for length in sorted((s.length for s in stocks for _ in range(s.count)), reverse=True):
        if need <= 0:
            break
        need -= length
        least += 1
    cuts = tuple(Cut(name, tuple(p), left) for (name, p), left in zip(opened, room, strict=True))
    left_out = tuple(Demand(d.length, n, d.pinned) for d, n in uncut.items())
    return Plan(cuts, left_out, False, least_uncut, least)


@define
class _Graph:
    """Ways to cut drums that may take the same pieces."""

    stocks: tuple[Stock, ...]
    arcs: list[tuple[int, int, int]] = field(factory=list)
    """From, to (in scaled steps), index of the demand."""
    nodes: list[int] = field(factory=list)


def _graphs(stocks: Sequence[Stock], demands: Sequence[Demand], scale: int) -> list[_Graph] | None:
    """One graph for all drums that no piece is pinned to, one for each other; None if too big."""
    pinned = {d.pinned for d in demands if d.pinned is not None}
    open_to_all = tuple(s for s in stocks if s.id not in pinned)
    groups = [(open_to_all, frozenset[str | None]((None,)))] if open_to_all else []
    groups += [((s,), frozenset((None, s.id))) for s in stocks if s.id in pinned]
    out: list[_Graph] = []
    arcs = 0
    for group, allowed in groups:
        graph = _Graph(group)
        end = max(s.length for s in group) // scale
        reached = {0}
        for index, d in enumerate(demands):
            if d.pinned not in allowed:
                continue
            step = d.length // scale
            heads: set[tuple[int, int]] = set()
            for node in reached:
                at = node
                for _ in range(d.count):
                    if at + step > end:
                        break
                    heads.add((at, at + step))
                    at += step
            arcs += len(heads)
            if arcs > MAX_ARCS:
                return None
            graph.arcs += [(a, b, index) for a, b in sorted(heads)]
            reached |= {b for _, b in heads}
        graph.nodes = sorted(reached)
        out.append(graph)
    return out


@frozen
class _End:
    """The arc from a node to a drum."""

    column: int
    graph: int
    node: int
    stock: Stock
    left: int


class _Model:
    """The integer programme: columns are arcs, arcs to drums, pieces uncut, and choices."""

    def __init__(self, graphs: list[_Graph], demands: Sequence[Demand]) -> None:
        self.graphs, self.demands = graphs, demands
        self.deadline = math.inf
        scale = math.gcd(*(d.length for d in demands))
        self.rows: list[tuple[dict[int, float], float, float]] = []
        self.upper: list[float] = []
        self.arcs: list[tuple[int, int, int, int]] = []
        self.ends: list[_End] = []
        balance: dict[tuple[int, int], dict[int, float]] = defaultdict(dict)
        taken: dict[int, dict[int, float]] = defaultdict(dict)
        for g, graph in enumerate(graphs):
            for a, b, index in graph.arcs:
                column = self._column(demands[index].count)
                self.arcs.append((g, a, b, index))
                balance[(g, a)][column] = -1.0
                balance[(g, b)][column] = 1.0
                taken[index][column] = 1.0
        for g, graph in enumerate(graphs):
            for stock in graph.stocks:
                used: dict[int, float] = {}
                for node in graph.nodes:
                    if node and node * scale <= stock.length:
                        column = self._column(stock.count)
                        left = stock.length - node * scale
                        self.ends.append(_End(column, g, node, stock, left))
                        balance[(g, node)][column] = -1.0
                        used[column] = 1.0
                self.rows.append((used, 0.0, float(stock.count)))
        self.uncut = [self._column(d.count) for d in demands]
        for index, d in enumerate(demands):
            self.rows.append(({**taken[index], self.uncut[index]: 1.0}, d.count, d.count))
        for (_, node), row in balance.items():
            if node:
                self.rows.append((row, 0.0, 0.0))

    def _column(self, upper: float) -> int:
        self.upper.append(float(upper))
        return len(self.upper) - 1

    def solve(self, keep_from: int, quick: Plan) -> Plan:
        """One goal after the other; each keeps what those before have reached."""
        least_uncut, least_drums = quick.least_uncut, quick.least_drums
        lost = {c: float(d.length) for c, d in zip(self.uncut, self.demands, strict=True)}
        drums = {e.column: 1.0 for e in self.ends}
        opened = {e.column: float(e.stock.length) for e in self.ends}
        best, done = None, True
        if quick.uncut:
            best, bound, done = self._reach(lost, best)
            least_uncut = max(least_uncut, _whole(bound))
        else:
            self.rows.append((lost, 0.0, 0.0))
        if done and not quick.proven:
            best, bound, done = self._reach(drums, best)
            least_drums = max(least_drums, _whole(bound))
        elif done:
            self.rows.append((drums, 0.0, float(len(quick.cuts))))
        tidy = False
        if done:
            self.deadline = min(self.deadline, time.monotonic() + TIDY_S)
            if len(set(opened.values())) > 1:
                best, _, done = self._reach(opened, best)
            if done:
                best, tidy = self._tidied(keep_from, best)
        if best is None:
            return evolve(quick, least_uncut=least_uncut, least_drums=least_drums)
        plan = self._plan(best, tidy, least_uncut, least_drums)
        if tidy or _worth(plan) <= _worth(quick):
            return plan
        return evolve(quick, least_uncut=least_uncut, least_drums=least_drums)

    def _reach(self, goal: dict[int, float], before: Any) -> tuple[Any, float, bool]:
        """Bring a goal to its least and hold it there.

        Returns the values (those `before` where nothing better was found in time), the bound on
        the goal, and whether the values are at it.
        """
        if before is not None and not any(before[c] for c in goal):
            self.rows.append((goal, 0.0, 0.0))
            return before, 0.0, True
        values, bound, done = self._minimum(goal)
        if values is None:
            return before, bound, False
        self.rows.append((goal, 0.0, sum(v * values[c] for c, v in goal.items())))
        return values, bound, done

    def _tidied(self, keep_from: int, best: Any) -> tuple[Any, bool]:
        """Least waste, then one drum's left-over as long as can be."""
        waste = {e.column: float(e.left) for e in self.ends if 0 < e.left < keep_from}
        best, _, done = self._reach(waste, best)
        choices = {self._column(1): e for e in self.ends if e.left >= max(keep_from, 1)}
        if not choices or not done:
            return best, done
        for column, e in choices.items():
            self.rows.append(({column: 1.0, e.column: -1.0}, -math.inf, 0.0))
        self.rows.append((dict.fromkeys(choices, 1.0), 0.0, 1.0))
        values, _, done = self._minimum({c: -float(e.left) for c, e in choices.items()})
        return (best if values is None else values), done

    def _minimum(self, goal: Mapping[int, float]) -> tuple[Any, float, bool]:
        """Values of all columns, the bound, and whether the goal is at its least."""
        try:
            import numpy as np
            from scipy.optimize import Bounds, LinearConstraint, milp
            from scipy.sparse import csr_array
        except ImportError:
            raise SolverMissingError(
                "a cut list needs one more package: pip install 'bridgewire[sheets]'"
            ) from None
        remaining = self.deadline - time.monotonic()
        if remaining <= 0.0:
            return None, -math.inf, False
        size = len(self.upper)
        cost = np.zeros(size)
        for column, value in goal.items():
            cost[column] = value
        data = [v for row, _, _ in self.rows for v in row.values()]
        columns = [c for row, _, _ in self.rows for c in row]
        starts = np.cumsum([0, *(len(row) for row, _, _ in self.rows)])
        matrix = csr_array((data, columns, starts), shape=(len(self.rows), size))
        result = milp(
            cost,
            integrality=np.ones(size),
            bounds=Bounds(np.zeros(size), np.array(self.upper)),
            constraints=LinearConstraint(
                matrix, [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
            ),
            options={"time_limit": remaining, "mip_rel_gap": 0.0},
        )
        bound = result.get("mip_dual_bound")
        least = bound if bound is not None and math.isfinite(bound) else -math.inf
        if result.x is None:
            return None, least, False
        return np.rint(result.x).astype(int), least, result.status == 0

    def _plan(self, values: Any, tidy: bool, least_uncut: int, least_drums: int) -> Plan:
        """Take the flow apart into drums."""
        onward: dict[tuple[int, int], list[list[int]]] = defaultdict(list)
        for column, (g, a, b, index) in enumerate(self.arcs):
            if values[column]:
                onward[(g, b)].append([int(values[column]), a, index])
        cuts: list[Cut] = []
        for end in self.ends:
            for _ in range(int(values[end.column])):
                pieces: list[Demand] = []
                node = end.node
                while node:
                    step = next(s for s in onward[(end.graph, node)] if s[0])
                    step[0] -= 1
                    node = step[1]
                    d = self.demands[step[2]]
                    pieces.append(Demand(d.length, 1, d.pinned))
                pieces.sort(key=lambda p: (-p.length, p.pinned or ""))
                cuts.append(Cut(end.stock.id, tuple(pieces), end.left))
        cuts.sort(key=lambda c: (c.left, c.stock, [-p.length for p in c.pieces]))
        uncut = tuple(
            Demand(d.length, int(values[c]), d.pinned)
            for c, d in zip(self.uncut, self.demands, strict=True)
            if values[c]
        )
        return Plan(tuple(cuts), uncut, tidy, least_uncut, least_drums)


def _worth(plan: Plan) -> tuple[int, int, int]:
    """Less is better: uncut, drums, cable opened (what is cut, and what is left)."""
    opened = sum(c.left + sum(p.length for p in c.pieces) for c in plan.cuts)
    return plan.uncut_length, len(plan.cuts), opened


def _whole(bound: float) -> int:
    """The least whole number that a bound allows; 0 where there is none."""
    return max(0, math.ceil(bound - 1e-6)) if math.isfinite(bound) else 0
