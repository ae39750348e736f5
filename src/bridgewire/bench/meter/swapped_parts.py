"""Parts of a show's wiring in each other's places."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator, Sequence

from attrs import evolve

from bridgewire.circuit.layout import Layout, OutputKey, Part, PlacedIgniter, WayKey
from bridgewire.circuit.mesh import needs_mesh


def swaps(
    layout: Layout, output: OutputKey, parts: Sequence[Part]
) -> Iterator[tuple[str, str, bool]]:
    """Pairs of strips of an output, and its first part with those of other outputs.

    Of other outputs in two ways: with their own runs (the plugs at the boxes are swapped), or on
    each other's runs (the far ends are) where the runs differ.
    """
    strips = [p for p in parts if p.is_strip]
    for a, b in itertools.combinations(strips, 2):
        if a not in _line(b) and b not in _line(a):
            yield a.id, b.id, False
    mine = next((p for p in parts if p.parent is None), None)
    if mine is None:
        return
    kind = layout.boxes[output[0]][1]
    for other in layout.parts.values():
        if other.parent is None and other.output is not None and other.output != output:
            there = layout.boxes[other.output[0]][1]
            if there.path == kind.path and not needs_mesh(there, 1):
                yield mine.id, other.id, True
                if _run_of(layout, mine) != _run_of(layout, other):
                    yield mine.id, other.id, False


def _run_of(layout: Layout, part: Part) -> tuple[object, ...]:
    """What a run adds to a circuit."""
    if part.run is None:
        return ()
    run = layout.show.run[part.run]
    return layout.run_lengths[part.run], layout.run_cables[part.run], run.parallel, run.joints


def _line(part: Part) -> list[Part]:
    found = [part]
    while found[-1].parent is not None and len(found) < 1000:
        found.append(found[-1].parent)
    return found


def swapped(layout: Layout, a: str, b: str, *, keep_runs: bool = False) -> Layout:
    """The same show with two parts in each other's places.

    Each is on the other's run; or, with `keep_runs`, on the other's output with its own run.
    """
    parts = {
        p.id: Part(p.id, p.kind, p.kind_id, p.path, p.first_way, p.run, None, None, p.depth)
        for p in layout.parts.values()
    }
    change = {a: b, b: a}
    for old in layout.parts.values():
        place = layout.parts[change.get(old.id, old.id)]
        part = parts[old.id]
        part.run = old.run if keep_runs else place.run
        if place.parent is not None:
            part.parent = parts[place.parent.id]
        else:
            part.output = place.output

    def settle(part: Part) -> None:
        if part.parent is not None:
            settle(part.parent)
            part.output, part.depth = part.parent.output, part.parent.depth + 1
        else:
            part.depth = 0

    by_way: dict[WayKey, list[PlacedIgniter]] = defaultdict(list)
    igniters = [evolve(p, part=parts[p.part.id]) for p in layout.igniters]
    on_output: dict[OutputKey, list[Part]] = defaultdict(list)
    for part in parts.values():
        settle(part)
        if part.output is not None and part.is_strip:
            on_output[part.output].append(part)
    for p in igniters:
        if p.part.output is not None:
            by_way[(*p.part.output, p.way)].append(p)
    return evolve(
        layout,
        parts=parts,
        igniters=igniters,
        by_way=dict(by_way),
        strips_on_output=dict(on_output),
    )
