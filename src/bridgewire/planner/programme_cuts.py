"""Designs that are known to fail are shut out."""

from __future__ import annotations

from typing import Any

from bridgewire.planner.cutting import pieces_m
from bridgewire.planner.design import Cut
from bridgewire.planner.programme import Programme


def shut_out(programme: Programme, number: int, cut: Cut) -> None:
    """Demand that at least one thing is more than in a failed design, or one less.

    Parameters
    ----------
    programme : Programme
    number : int
        Of the cut, for the names of its variables.
    cut : Cut
    """
    model = programme.model
    literals = []
    for count, limit, more in (
        *((programme.used.get(k, 0), n, True) for k, n in cut.more_of(programme.choice.classes)),
        *(
            (v, cut.strips.get(key, 0), True)
            for key, v in programme.strips.items()
            if cut.touches(key[0])
        ),
        *((v, cut.boxes[key], True) for key, v in programme.boxes.items() if key in cut.boxes),
        *((_pieces(programme, cut.cable, m), n, False) for m, n in cut.fewer_pieces.items()),
    ):
        literal = model.new_bool_var(f"cut {number}")
        if more:
            model.add(count >= limit + 1).only_enforce_if(literal)
        else:
            model.add(count <= limit - 1).only_enforce_if(literal)
        literals.append(literal)
    model.add_bool_or(literals)


def _pieces(programme: Programme, cable: str, from_m: float) -> Any:
    """How many pieces of a cable, cut from drums, are at least so long."""
    terms = []
    for feed, v in programme.uses.items():
        number = sum(
            m >= from_m - 1e-6
            for lay in feed.lays
            if lay.cable == cable and not lay.whole
            for m in pieces_m(programme.problem, lay)
        )
        if number:
            terms.append(number * v)
    return sum(terms)
