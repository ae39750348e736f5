"""Numbers of ways on one output, and the first way of each strip."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import permutations

from attrs import frozen

from bridgewire.planner.feeds import Take

MOST_SETS = 6
"""Orders are tried for so many different sets of positions."""


@frozen
class Numbered:
    """Ways of one output.

    Attributes
    ----------
    way : mapping of int to int
        By cue, from 1.
    first_way : mapping of str to int
        Of the strip at each position.
    """

    way: Mapping[int, int]
    first_way: Mapping[str, int]


def number_ways(
    cues: Sequence[tuple[int, Take]],
    room: Mapping[str, int],
    ways: int,
    order: Mapping[int, float],
) -> Numbered | None:
    """Number the ways so that each strip carries those of its position.

    Parameters
    ----------
    cues : sequence of (int, Take)
    room : mapping of str to int
        Ways of the strip at each position, in the order of the positions.
    ways : int
        Of the output.
    order : mapping of int to float
        Cues at one position get ways in this order.

    Returns
    -------
    Numbered or None
        None where strips are too short for any order that is tried.

    Examples
    --------
    >>> a, b = Take(0, ("a",)), Take(1, ("b",))
    >>> found = number_ways([(7, b), (3, a), (5, a)], {"a": 8, "b": 8}, 16, {3: 0, 5: 1, 7: 2})
    >>> found.way, found.first_way
    ({3: 1, 5: 2, 7: 3}, {'a': 1, 'b': 3})
    """
    names = list(room)
    sets = sorted({t.positions for _, t in cues}, key=lambda s: [names.index(p) for p in s])
    orders = permutations(sets) if len(sets) <= MOST_SETS else iter([tuple(sets)])
    for arrangement in orders:
        sequence = sorted(cues, key=lambda c: (arrangement.index(c[1].positions), order[c[0]]))
        way = {cue: n for n, (cue, _) in enumerate(sequence, start=1)}
        first: dict[str, int] = {}
        for position, width in room.items():
            mine = [way[c] for c, t in cues if position in t.positions]
            low = min(mine, default=1)
            if mine and max(mine) - low + 1 > width:
                break
            first[position] = max(1, min(low, ways - width + 1))
        else:
            return Numbered(way, first)
    return None
