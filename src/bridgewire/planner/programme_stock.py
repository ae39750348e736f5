"""No more than is in stock: boxes, strips, splitters, igniters, cable."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from bridgewire.planner.cutting import pieces_m
from bridgewire.planner.demand_names import stock_of
from bridgewire.planner.feeds import loads_of
from bridgewire.planner.programme import Programme


def limit_stock(programme: Programme) -> None:
    """Add everything that stock limits, but for how drums are cut: see `planner.cutting`."""
    shelf, model = programme.problem.shelf, programme.model
    for box, stock in enumerate(shelf.boxes):
        here = [v for (b, _), v in programme.boxes.items() if b == box]
        if here and stock_of(stock.item) not in programme.relaxed:
            model.add(sum(here) <= stock.count)
    for full, _, count in shelf.strips:
        here = [v for (_, _, k), v in programme.strips.items() if k == full]
        if here and stock_of(full) not in programme.relaxed:
            model.add(sum(here) <= count)
    for full, _, count in shelf.splitters:
        used = [u for k, u in programme.used.items() if k.shape.splitter == full]
        if used and stock_of(full) not in programme.relaxed:
            model.add(sum(used) <= count)
    _limit_igniters(programme)
    _limit_cable(programme)


def _limit_igniters(programme: Programme) -> None:
    for full, count in programme.problem.shelf.igniters:
        if stock_of(full) in programme.relaxed:
            continue
        lit: list[Any] = []
        for (_, take), ways in programme.ways.items():
            loads = loads_of(programme.choice.groups[take.group], take.positions).values()
            number = sum(p.count for x in loads for p in x.parts if p.igniter_class == full)
            if number:
                lit.append(number * ways)
        if lit:
            programme.model.add(sum(lit) <= count)


def _limit_cable(programme: Programme) -> None:
    """Metres on all drums; drums for pieces of which none takes two; made-up cables."""
    for cable in programme.problem.shelf.cables:
        if stock_of(cable.item) in programme.relaxed:
            continue
        metres: list[tuple[int, Any]] = []
        whole: dict[float, list[Any]] = defaultdict(list)
        long: list[Any] = []
        longest = cable.drums[0].length_m if cable.drums else 0.0
        for feed, v in programme.uses.items():
            mine = [lay for lay in feed.lays if lay.cable == cable.item]
            cut = [m for lay in mine if not lay.whole for m in pieces_m(programme.problem, lay)]
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
            programme.model.add(sum(m * v for m, v in metres) <= have)
        if long:
            programme.model.add(sum(long) <= sum(p.count for p in cable.drums))
        for piece in cable.whole:
            if whole[piece.length_m]:
                programme.model.add(sum(whole[piece.length_m]) <= piece.count)
