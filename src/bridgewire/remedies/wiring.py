"""What moves ask of a show's wiring."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from bridgewire.circuit.layout import Layout, Part, PlacedIgniter
from bridgewire.circuit.places import coordinates
from bridgewire.circuit.problems import Problems
from bridgewire.model.kit import StripKind
from bridgewire.model.show import Box, Strip
from bridgewire.remedies.change import Item
from bridgewire.timeline.outcomes import CueOutcome


def parts_of(layout: Layout, cue: CueOutcome) -> list[Part]:
    """The strips that hold the igniters a cue means to light, in the show's order."""
    placed = placed_of(layout, cue)
    return list({p.part.id: p.part for p in placed}.values())


def placed_of(layout: Layout, cue: CueOutcome) -> list[PlacedIgniter]:
    """The igniters that a cue means to light, on their terminals."""
    by_index = {p.index: p for p in layout.igniters}
    return [by_index[i.igniter] for i in cue.meant if i.igniter in by_index]


def path_to(part: Part) -> list[Part]:
    """The parts from the box to a part, itself included."""
    path = [part]
    while path[-1].parent is not None:
        path.append(path[-1].parent)
    return path[::-1]


def runs_to(parts: Sequence[Part]) -> list[int]:
    """Indexes of the runs that feed parts, nearest to the box first, each once."""
    found = {p.run: p.depth for part in parts for p in path_to(part) if p.run is not None}
    return sorted(found, key=lambda run: (found[run], run))


def below(layout: Layout, part: Part) -> list[Part]:
    """A part and everything that hangs on it."""
    return [p for p in layout.parts.values() if part in path_to(p)]


def length_to(layout: Layout, part: Part) -> float | None:
    """Cable from the box to a part, typical, m; None where a length is not known."""
    lengths = [layout.run_lengths[p.run] for p in path_to(part) if p.run is not None]
    return math.fsum(b.typical for b in lengths if b is not None) if None not in lengths else None


def typical_m(layout: Layout, run: int) -> float | None:
    """Length of a run, m; None where it is not known."""
    band = layout.run_lengths[run]
    return None if band is None else band.typical


def cable_id(layout: Layout, run: int) -> str:
    """Full id of the cable of a run."""
    full_id = layout.catalogue.cables.full_id(layout.show.run[run].cable)
    assert full_id is not None  # else the show would not have been resolved
    return full_id


def more_cable(layout: Layout, run: int, metres: float) -> Item:
    """Cable by which a run gets longer, or shorter where negative; all its cables side by side."""
    return Item("cable", cable_id(layout, run), metres * layout.show.run[run].parallel)


def chains(strips: Sequence[Part]) -> list[list[Part]]:
    """Chains of two or more strips, each on the through connector of the last.

    Parameters
    ----------
    strips : sequence of Part
        The chains that lead to these, each once, as long as they are.
    """
    found: dict[str, list[Part]] = {}
    for strip in strips:
        tail = [strip]
        while (before := tail[-1].parent) is not None and before.is_strip:
            tail.append(before)
        if len(tail) > 1 and all(p.run is not None for p in path_to(strip)):
            chain = tail[::-1]
            if len(chain) > len(found.get(chain[0].id, [])):
                found[chain[0].id] = chain
    return list(found.values())


def same_place(stated: Box | Strip) -> dict[str, Any]:
    """Keys that put a new part where another stands; none where that is not stated."""
    if stated.at_m is not None:
        return {"at_m": list(stated.at_m)}
    return {} if stated.position is None else {"position": stated.position}


def run_words(layout: Layout, run: int) -> str:
    """Name a run by its ends.

    As in ``the run from 'mooring' to 'west'``.
    """
    r = layout.show.run[run]
    return f"the run from {r.from_!r} to {r.to!r}"


def free_outputs(layout: Layout, box: str) -> list[int]:
    """Outputs of a box that nothing hangs on and no cue fires."""
    used = {p.output[1] for p in layout.parts.values() if p.output and p.output[0] == box}
    used |= {c.way[1] for c in layout.cues if c.way is not None and c.way[0] == box}
    return [n for n in range(1, layout.boxes[box][1].outputs + 1) if n not in used]


def free_ways(layout: Layout, part: Part) -> list[int]:
    """Ways of a strip on which its output has no igniter at all."""
    assert isinstance(part.kind, StripKind)
    if part.output is None:
        return []
    used = {way for (box, out, way) in layout.by_way if (box, out) == part.output}
    last = min(part.first_way + part.kind.ways - 1, layout.boxes[part.output[0]][1].ways)
    return [way for way in range(part.first_way, last + 1) if way not in used]


def distance_m(layout: Layout, one: str, other: str) -> float | None:
    """Straight distance between two things of a show, m; None without coordinates."""
    places = coordinates(layout.show, Problems())
    a, b = places.get(one), places.get(other)
    return None if a is None or b is None else math.dist(a, b)


def laid_m(layout: Layout, distance: float) -> float:
    """Cable for a straight distance, with the site's slack, up to the next decimetre, m."""
    slack = layout.show.site.cable_slack_pct or 0.0
    return math.ceil(distance * (1 + slack / 100) * 10 - 1e-9) / 10


def fresh(layout: Layout, stem: str) -> str:
    """An id that nothing in the show has."""
    show = layout.show
    lists = (show.box, show.strip, show.splitter, show.run, show.igniter, show.cue, show.position)
    used = {item.id for group in lists for item in group} | set(layout.names.values())
    return next(name for name in _numbered(stem) if name not in used)


def _numbered(stem: str) -> Iterator[str]:
    yield stem
    number = 2
    while True:
        yield f"{stem} {number}"
        number += 1
