"""Edits that take strips to another output: the run that feeds them, and their cues."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from bridgewire.circuit.layout import Layout, OutputKey, Part, ResolvedCue
from bridgewire.remedies.edits import Append, Edit, Remove, Set
from bridgewire.remedies.plain import plain_item
from bridgewire.remedies.wiring import below
from bridgewire.timeline.schedule import cue_igniters, cue_pulse_s


def to_output(
    layout: Layout, part: Part, output: OutputKey, length_m: float
) -> tuple[tuple[Edit, ...], int] | None:
    """Hang a part, and all that hangs on it, on another output.

    Parameters
    ----------
    layout : Layout
    part : Part
    output : OutputKey
        With nothing on it.
    length_m : float
        Of the run that feeds it from there.

    Returns
    -------
    edits : tuple of Edit
    cues : int
        How many cues are added, as one cue now fires strips on two outputs.

    None where a cue could not follow.
    """
    if part.run is None or part.output is None or part.output == output:
        return None
    edits: list[Edit] = [
        Set(("run", part.run, "from"), f"{output[0]}/{output[1]}"),
        Set(("run", part.run, "length_m"), _plain(length_m)),
    ]
    moved = {p.id for p in below(layout, part)}
    readdressed = readdressed_cues(layout, moved, part.output, output)
    if readdressed is None:
        return None
    return (*edits, *readdressed), sum(isinstance(e, Append) for e in readdressed)


def readdressed_cues(
    layout: Layout, moved: Collection[str], old: OutputKey, new: OutputKey
) -> tuple[Edit, ...] | None:
    """Let cues follow strips to another output.

    A cue whose igniters have all moved is readdressed; one that fires others as well gets a
    twin. None where the new output lacks the way.
    """
    edits: list[Edit] = []
    names = {c.cue.id for c in layout.cues}
    for cue in layout.cues:
        if cue.way is None or cue.way[:2] != old:
            continue
        here = cue_igniters(layout, cue)
        gone = [p for p in here if p.part.id in moved]
        if not gone:
            continue
        if cue.way[2] > layout.boxes[new[0]][1].ways:
            return None
        fire = f"{new[0]}/{new[1]}/{cue.way[2]}"
        pulse = pulse_there(layout, cue, new[0]) if new[0] != old[0] else cue.cue.pulse_s
        if pulse is None and new[0] != old[0]:
            return None
        if len(gone) == len(here):
            edits += addressed(cue, fire)
            if pulse != cue.cue.pulse_s:
                edits.append(Set(("cue", cue.index, "pulse_s"), pulse))
            continue
        twin = plain_item(cue.cue)
        for key in ("fire", "box", "output", "way", "target"):
            twin.pop(key, None)
        name = f"{cue.cue.id}, {new[0]} output {new[1]}"
        if name in names:
            return None
        twin["id"], twin["fire"] = name, fire
        if pulse is not None:
            twin["pulse_s"] = pulse
        if cue.lights is not None:
            ids = {layout.names[p.index] for p in gone}
            edits.append(Set(("cue", cue.index, "lights"), _left(cue, layout, ids, keep=False)))
            twin["lights"] = _left(cue, layout, ids, keep=True)
        edits.append(Append(("cue",), twin))
    return tuple(edits)


def pulse_there(layout: Layout, cue: ResolvedCue, box: str) -> float | None:
    """The shortest pulse of another box that is not shorter than a cue's, or than the default of
    the classes it fires; None where that box has none."""
    offered = layout.boxes[box][1].pulses
    defaults = [p.klass.default_pulse_s or 0.0 for p in cue_igniters(layout, cue)]
    wish = max([cue_pulse_s(layout, cue) or 0.0, *defaults])
    if offered is None or wish == 0.0:
        return None
    longest = max(offered.offered_s) if offered.offered_s else offered.max_s
    return offered.shortest_at_least(wish) or longest


def addressed(cue: ResolvedCue, fire: str) -> list[Edit]:
    """Edits that give a cue another circuit, in the way it states its own; none for a target."""
    stated = cue.cue
    if stated.target is not None:
        return []  # follows the strip by itself
    path = ("cue", cue.index)
    if stated.fire is not None:
        return [Set((*path, "fire"), fire)]
    box, output, way = fire.rsplit("/", 2)
    return [
        Set((*path, "box"), box),
        Set((*path, "output"), int(output)),
        Set((*path, "way"), int(way)),
    ]


def fired_by(cue: ResolvedCue, fire: str) -> list[Edit]:
    """Edits that give a cue another circuit, whether or not its strip comes with it."""
    if cue.cue.target is None:
        return addressed(cue, fire)
    return [Remove(("cue", cue.index, "target")), Set(("cue", cue.index, "fire"), fire)]


def _left(cue: ResolvedCue, layout: Layout, ids: Collection[str], *, keep: bool) -> list[Any]:
    return [layout.names[i] for i in cue.lights or () if (layout.names[i] in ids) is keep]


def _plain(metres: float) -> float | int:
    return int(metres) if metres == int(metres) else round(metres, 3)
