"""All ways to cut drums as paths in graphs of whole steps.

The nodes are the steps used so far: an arc for each piece, longest first, and at the end an arc to
the drum. All drums together are an integer flow (the arc-flow model of J. M. Valério de Carvalho,
Annals of Operations Research 86, 1999; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import define, field

from bridgewire.report.sheets.cutting_plan import Demand, Stock

MAX_ARCS = 60_000
"""Above this size a quick plan is made, whose distance from the best is bounded, not nought."""


@define
class Graph:
    """Ways to cut drums that may take the same pieces."""

    stocks: tuple[Stock, ...]
    arcs: list[tuple[int, int, int]] = field(factory=list)
    """From, to (in scaled steps), index of the demand."""
    nodes: list[int] = field(factory=list)


def graphs_of(stocks: Sequence[Stock], demands: Sequence[Demand], scale: int) -> list[Graph] | None:
    """One graph for all drums that no piece is pinned to, one for each other; None if too big."""
    pinned = {d.pinned for d in demands if d.pinned is not None}
    open_to_all = tuple(s for s in stocks if s.id not in pinned)
    groups = [(open_to_all, frozenset[str | None]((None,)))] if open_to_all else []
    groups += [((s,), frozenset((None, s.id))) for s in stocks if s.id in pinned]
    out: list[Graph] = []
    arcs = 0
    for group, allowed in groups:
        graph = Graph(group)
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
