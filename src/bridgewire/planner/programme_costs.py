"""What a design costs, as terms of the programme."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from bridgewire.planner.circuits import Lay
from bridgewire.planner.feeds import Feed
from bridgewire.planner.prices import Prices
from bridgewire.planner.programme import Programme


def cost_terms(programme: Programme, prices: Prices) -> list[tuple[Any, int]]:
    """Every variable that costs something, with the price of one in the solver's steps."""
    feed, part = _prices_of(prices)
    boxes = programme.problem.shelf.boxes
    return [
        *((v, feed(f)) for f, v in programme.uses.items()),
        *((v, part("strip", full)) for (_, _, full), v in programme.strips.items()),
        *((v, part("box", boxes[box].item)) for (box, _), v in programme.boxes.items()),
    ]


def _prices_of(prices: Prices) -> tuple[Callable[[Feed], int], Callable[[str, str], int]]:
    """What gives the price of a feed with its output, and of a part; each is asked for once."""
    output = prices.whole(prices.output())

    @cache
    def run(lay: Lay) -> int:
        return prices.whole(prices.run(lay))

    @cache
    def part(table: str, full: str) -> int:
        return prices.whole(prices.part(table, full))

    def feed(one: Feed) -> int:
        splitter = one.shape.splitter
        beside = 0 if splitter is None else part("splitter", splitter)
        return output + sum(map(run, one.lays)) + beside

    return feed, part
