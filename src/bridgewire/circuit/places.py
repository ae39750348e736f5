"""Where things stand on site, and how long the runs between them are."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bridgewire.circuit.catalogue import nearest
from bridgewire.circuit.problems import Problems
from bridgewire.model.band import Band
from bridgewire.model.show import Box, Show, Splitter, Strip


def part_name(end: str) -> str:
    """The part that a run's end names: ``heron-1/1`` is on ``heron-1``.

    >>> part_name("heron-1/1"), part_name("jetty-1")
    ('heron-1', 'jetty-1')
    """
    return end.split("/", 1)[0]


def address_number(text: str) -> int | None:
    """The number of an output or way in an address; None where the text is none.

    Numbers of more than nine digits mean nothing, and Python refuses very long ones.

    >>> address_number("4"), address_number("4a"), address_number("9" * 5000)
    (4, None, None)
    """
    return int(text) if text.isdecimal() and text.isascii() and len(text) <= 9 else None


def coordinates(show: Show, problems: Problems) -> dict[str, tuple[float, float]]:
    """Coordinates of every box, strip and splitter that has any, by id, m."""
    places: dict[str, tuple[float, float]] = {}
    seen: dict[str, int] = {}
    for i, position in enumerate(show.position):
        if position.id in seen:
            problems.add(
                "DOC010",
                ("position", i, "id"),
                f"position {position.id!r} is already at position[{seen[position.id]}]",
            )
        seen[position.id] = i
        places[position.id] = position.at_m
    out: dict[str, tuple[float, float]] = {}
    things: list[tuple[str, int, Box | Strip | Splitter]] = [
        *(("box", i, box) for i, box in enumerate(show.box)),
        *(("strip", i, strip) for i, strip in enumerate(show.strip)),
        *(("splitter", i, splitter) for i, splitter in enumerate(show.splitter)),
    ]
    for key, i, thing in things:
        if thing.at_m is not None:
            out[thing.id] = thing.at_m
        elif thing.position in places:
            out[thing.id] = places[thing.position]
        elif thing.position is not None:
            problems.add(
                "DOC011",
                (key, i, "position"),
                f"there is no position {thing.position!r}",
                expected="the id of a [[position]]",
                got=repr(thing.position),
                suggestion=nearest(thing.position, places),
            )
    return out


def straight_distance_m(show: Show, run_index: int) -> float | None:
    """Straight distance between a run's ends by their coordinates, m; None where unknown."""
    return distance_m(show, run_index, coordinates(show, Problems()))


def distance_m(
    show: Show, run_index: int, places: Mapping[str, tuple[float, float]]
) -> float | None:
    """Straight distance between the ends of a run, m; None where a coordinate is missing."""
    run = show.run[run_index]
    a, b = places.get(part_name(run.from_)), places.get(part_name(run.to))
    return None if a is None or b is None else math.dist(a, b)


def length_of_run(
    show: Show, run_index: int, places: Mapping[str, tuple[float, float]]
) -> Band | None:
    """Length of a run: stated, else the straight distance and the site's slack; None if unknown."""
    stated = show.run[run_index].length_m
    if stated is not None:
        return stated
    distance = distance_m(show, run_index, places)
    if distance is None or show.site.cable_slack_pct is None:
        return None
    return Band.exact(distance * (1.0 + show.site.cable_slack_pct / 100.0))
