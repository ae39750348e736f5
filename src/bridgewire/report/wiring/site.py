"""What stands where on site, and which runs lie between the same places."""

from __future__ import annotations

from collections import defaultdict
from typing import Literal

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.places import coordinates, part_name
from bridgewire.circuit.problems import Problems
from bridgewire.report.wiring.runs import cable_id, drawn_name, length_text
from bridgewire.report.wiring.verdicts import worst
from bridgewire.timeline.outcomes import Verdict

Noun = Literal["box", "splitter", "strip"]


@frozen
class Thing:
    """A box, splitter or strip."""

    id: str
    noun: Noun
    verdict: Verdict | None = None
    """The worst among its igniters; None where no cue means any of them."""


@frozen
class Place:
    """A point of the site with all that stands there."""

    at_m: tuple[float, float]
    positions: tuple[str, ...]
    things: tuple[Thing, ...]


@frozen
class Bundle:
    """Runs between the same two places with one kind of cable and one length."""

    ends: tuple[int, int]
    """Indexes of the places; the same twice where the runs stay at one place."""
    cable: str
    length: str
    names: tuple[str, ...]


@frozen
class Site:
    """Everything that a plan shows, sorted by whether it has coordinates."""

    places: tuple[Place, ...]
    bundles: tuple[Bundle, ...]
    """Between two places."""
    indoors: tuple[Bundle, ...]
    """Within one place."""
    loose: tuple[Thing, ...]
    """Without coordinates."""
    loose_runs: tuple[tuple[str, str, str], ...]
    """Name, cable and length of runs that lack coordinates at an end."""


def site_of(layout: Layout, verdicts: dict[int, Verdict]) -> Site:
    """Sort a show's things by place.

    Parameters
    ----------
    layout : Layout
    verdicts : dict
        By igniter index, see `Assessment.verdicts`.
    """
    at = coordinates(layout.show, Problems())
    here: dict[tuple[float, float], tuple[list[str], list[Thing]]] = defaultdict(lambda: ([], []))
    for position in layout.show.position:
        here[_key(position.at_m)][0].append(position.id)
    loose: list[Thing] = []
    for thing in _things(layout, verdicts):
        if thing.id in at:
            here[_key(at[thing.id])][1].append(thing)
        else:
            loose.append(thing)
    number = {key: n for n, key in enumerate(here)}
    bundles: dict[tuple[tuple[int, int], str, str], list[str]] = defaultdict(list)
    loose_runs: list[tuple[str, str, str]] = []
    for i, run in enumerate(layout.show.run):
        name, cable, length = drawn_name(run), cable_id(layout, i), length_text(layout, i)
        start, end = at.get(part_name(run.from_)), at.get(part_name(run.to))
        if start is None or end is None:
            loose_runs.append((name, cable, length))
            continue
        a, b = number[_key(start)], number[_key(end)]
        bundles[(min(a, b), max(a, b)), cable, length].append(name)
    made = [Bundle(k[0], k[1], k[2], tuple(names)) for k, names in bundles.items()]
    return Site(
        tuple(Place(k, tuple(p), tuple(t)) for k, (p, t) in here.items()),
        tuple(b for b in made if b.ends[0] != b.ends[1]),
        tuple(b for b in made if b.ends[0] == b.ends[1]),
        tuple(loose),
        tuple(loose_runs),
    )


def _key(at_m: tuple[float, float]) -> tuple[float, float]:
    """Things within a millimetre stand at one place."""
    return round(at_m[0], 3) + 0.0, round(at_m[1], 3) + 0.0


def _things(layout: Layout, verdicts: dict[int, Verdict]) -> list[Thing]:
    on_strip: dict[str, list[Verdict | None]] = defaultdict(list)
    for placed in layout.igniters:
        on_strip[placed.part.id].append(verdicts.get(placed.index))
    return [
        *(Thing(b.id, "box") for b in layout.show.box),
        *(Thing(s.id, "splitter") for s in layout.show.splitter),
        *(Thing(s.id, "strip", worst(on_strip[s.id])) for s in layout.show.strip),
    ]
