"""The integer programme of a cutting plan; HiGHS solves it, through ``scipy.optimize.milp``."""

from __future__ import annotations

import math
import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, TypeAlias

from attrs import evolve, frozen

from bridgewire.errors import BridgewireError
from bridgewire.report.sheets.cutting_graph import Graph
from bridgewire.report.sheets.cutting_plan import Cut, Demand, Plan, Stock

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Values: TypeAlias = NDArray[np.intp]
    """Of all columns of the programme."""

TIDY_S = 8.0
"""Longest time spent on what is opened and left over once the least number of drums is known, s."""


class SolverMissingError(BridgewireError):
    """scipy is not installed; the text says what to do."""


@frozen
class _End:
    """The arc from a node to a drum."""

    column: int
    graph: int
    node: int
    stock: Stock
    left: int


class Model:
    """The integer programme: columns are arcs, arcs to drums, pieces uncut, and choices."""

    def __init__(self, graphs: list[Graph], demands: Sequence[Demand]) -> None:
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

    def _reach(
        self, goal: dict[int, float], before: Values | None
    ) -> tuple[Values | None, float, bool]:
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

    def _tidied(self, keep_from: int, best: Values | None) -> tuple[Values | None, bool]:
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

    def _minimum(self, goal: Mapping[int, float]) -> tuple[Values | None, float, bool]:
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

    def _plan(self, values: Values, tidy: bool, least_uncut: int, least_drums: int) -> Plan:
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
