"""Which pieces to cut from which drum, as few drums and as little waste as can be."""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Mapping, Sequence

from attrs import evolve

from bridgewire.report.sheets.cutting_graph import graphs_of
from bridgewire.report.sheets.cutting_model import Model
from bridgewire.report.sheets.cutting_plan import Demand, Plan, Stock
from bridgewire.report.sheets.cutting_quick import quick_plan


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
    quick = quick_plan(stocks, demands)
    scale = math.gcd(*(d.length for d in demands))
    graphs = graphs_of(stocks, demands, scale)
    if graphs is None:
        return quick
    model = Model(graphs, demands)
    model.deadline = time.monotonic() + time_limit_s
    return model.solve(keep_from, quick)
