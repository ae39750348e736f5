"""What follows from the rest for whole numbers: it forbids no design, and helps the bound."""

from __future__ import annotations

from typing import Any

from bridgewire.planner.prices import Prices
from bridgewire.planner.programme import Programme


def add_least_numbers(programme: Programme, prices: Prices, outputs: int) -> None:
    """Say how many outputs, strips and boxes there are at least, and what strips cost at least.

    Parameters
    ----------
    programme : Programme
    prices : Prices
    outputs : int
        No design has fewer, by what is known from elsewhere.
    """
    if any(d.kind == "wanted" for d in programme.relaxed):
        return
    problem, model = programme.problem, programme.model
    shelf = problem.shelf
    room = _widest_room(programme)
    for position, cues in problem.at.items():
        reaching = [u for k, u in programme.used.items() if position in k.shape.positions]
        model.add(sum(reaching) >= -(-len(cues) // room))
        if shelf.strips:
            widest = min(room, shelf.strips[-1][1].ways)
            model.add(sum(_strips_at(programme, position).values()) >= -(-len(cues) // widest))
    if shelf.strips:
        _add_strip_costs(programme, prices, room)
    outputs = max(-(-len(problem.cues) // room), outputs)
    model.add(sum(programme.used.values()) >= outputs)
    most = max((b.kind.outputs for b in shelf.boxes), default=1)
    model.add(sum(programme.boxes.values()) >= -(-outputs // most))


def _add_strip_costs(programme: Programme, prices: Prices, room: int) -> None:
    """The strips at a position cost no less than the cheapest that its cues could go on."""
    kinds = [
        (min(k.ways, room), prices.whole(prices.part("strip", f)), f)
        for f, k, _ in programme.problem.shelf.strips
    ]
    price_of = {f: price for _, price, f in kinds}
    for position, cues in programme.problem.at.items():
        least = [0] + [0] * len(cues)
        for n in range(1, len(cues) + 1):
            least[n] = min(price + least[max(n - ways, 0)] for ways, price, _ in kinds)
        strips = _strips_at(programme, position)
        programme.model.add(sum(price_of[f] * v for (_, f), v in strips.items()) >= least[-1])


def _strips_at(programme: Programme, position: str) -> dict[tuple[object, str], Any]:
    """Variables of the strips at a position, by class of feeds and full id."""
    return {(k, f): v for (k, p, f), v in programme.strips.items() if p == position}


def _widest_room(programme: Programme) -> int:
    """The most ways of an output that a plan may use, at least 1."""
    return max(
        (max(programme.room(b), 1) for b in range(len(programme.problem.shelf.boxes))), default=1
    )
