"""What is to be wired where: strips and splitters with what feeds them, igniters on terminals."""

from __future__ import annotations

from collections import defaultdict

from attrs import frozen

from bridgewire.circuit.layout import Layout, Part, PlacedIgniter
from bridgewire.model.show import Box, Splitter, Strip
from bridgewire.report.sheets.names import band_metres, path_name, way_name
from bridgewire.rules.wiring import run_name
from bridgewire.timeline.outcomes import CueOutcome


@frozen
class FeedRow:
    """A run that ends or begins at a place."""

    position: str
    part: str
    part_kind: str
    side: str
    """``inlet``, ``outlet`` or ``output 3``."""
    run: str
    other_end: str
    cable: str
    length_m: str
    parallel: int
    joints: int
    drum: str


@frozen
class TerminalRow:
    """One igniter entry on its terminal."""

    position: str
    strip: str
    way: int
    igniter: str
    igniter_class: str
    count: int
    joined: str
    """How its igniters, and others on the terminal, are joined."""
    extra_lead_m: str
    lead_cable: str
    batch: str
    lights: str
    fired_by: str
    """Box, output and way."""
    cues: str
    path: str
    """From the box to the strip."""


@frozen
class Place:
    """A position, or the surroundings of parts that name none, with all that is wired there."""

    name: str
    title: str
    at_m: tuple[float, float] | None
    feeds: tuple[FeedRow, ...]
    strips: tuple[tuple[Part, tuple[TerminalRow, ...]], ...]


def wiring(layout: Layout, cues: tuple[CueOutcome, ...]) -> tuple[Place, ...]:
    """Sort the wiring of a show by place, in the order of its positions.

    Parameters
    ----------
    layout : Layout
    cues : tuple of CueOutcome
        As checked.
    """
    show = layout.show
    things: list[Box | Strip | Splitter] = [*show.box, *show.strip, *show.splitter]
    place_of = {t.id: _place_name(t) for t in things}
    names = [p.id for p in show.position if p.id in place_of.values()]
    names += [n for n in dict.fromkeys(place_of[t.id] for t in things) if n not in names]
    titles = {p.id: p.title for p in show.position}
    at = {p.id: p.at_m for p in show.position} | {
        _place_name(t): t.at_m for t in things if t.position is None and t.at_m is not None
    }
    fired = _cues_by_igniter(cues)
    on_strip: dict[str, list[PlacedIgniter]] = defaultdict(list)
    for placed in layout.igniters:
        on_strip[placed.part.id].append(placed)
    feeds = _feeds(layout, place_of)
    return tuple(
        Place(
            name,
            titles.get(name, ""),
            at.get(name),
            tuple(f for f in feeds if f.position == name),
            tuple(
                (
                    layout.parts[s.id],
                    tuple(
                        _terminal_row(layout, name, p, on_strip[s.id], fired)
                        for p in sorted(on_strip[s.id], key=lambda q: (q.way, q.index))
                    ),
                )
                for s in show.strip
                if place_of[s.id] == name
            ),
        )
        for name in names
    )


def _place_name(thing: Box | Strip | Splitter) -> str:
    """The position it names, else its own name."""
    return thing.position if thing.position is not None else thing.id


def _cues_by_igniter(cues: tuple[CueOutcome, ...]) -> dict[int, list[str]]:
    fired: dict[int, list[str]] = defaultdict(list)
    for cue in sorted(cues, key=lambda c: (c.switch_s, c.cue)):
        for igniter in cue.meant:
            fired[igniter.igniter].append(cue.id)
    return fired


def _feeds(layout: Layout, place_of: dict[str, str]) -> list[FeedRow]:
    """Both ends of every run, those of a place in the order of its parts."""
    rows: list[FeedRow] = []
    kinds = {name: kind_id for name, (_, _, kind_id) in layout.boxes.items()}
    kinds |= {name: part.kind_id for name, part in layout.parts.items()}
    for i, run in enumerate(layout.show.run):
        source, _, output = run.from_.partition("/")
        ends = (
            (run.to, "inlet", run.from_),
            (source, f"output {output}" if output else "outlet", run.to),
        )
        for part, side, other in ends:
            rows.append(
                FeedRow(
                    place_of[part],
                    part,
                    kinds[part],
                    side,
                    run_name(run),
                    other,
                    layout.catalogue.cables.full_id(run.cable) or run.cable,
                    band_metres(layout.run_lengths[i]),
                    run.parallel,
                    run.joints,
                    run.drum or "",
                )
            )
    order = {name: n for n, name in enumerate(place_of)}
    rows.sort(key=lambda r: (order[r.part], r.side != "inlet"))
    return rows


def _terminal_row(
    layout: Layout,
    position: str,
    placed: PlacedIgniter,
    others: list[PlacedIgniter],
    fired: dict[int, list[str]],
) -> TerminalRow:
    igniter = placed.igniter
    return TerminalRow(
        position,
        placed.part.id,
        placed.way,
        placed.id,
        placed.class_id,
        igniter.count,
        _joined(placed, [o for o in others if o.way == placed.way and o is not placed]),
        "" if igniter.extra_lead_m is None else band_metres(igniter.extra_lead_m),
        "" if igniter.extra_lead_m is None else igniter.lead_cable or "",
        igniter.batch or "",
        igniter.lights,
        "not wired" if layout.way_of(placed) is None else way_name(layout.way_of(placed)),
        ", ".join(fired.get(placed.index, ())),
        path_name(placed.part),
    )


def _joined(placed: PlacedIgniter, others: list[PlacedIgniter]) -> str:
    """How the entry's igniters are joined with one another and with others on the terminal."""
    igniter = placed.igniter
    parts: list[str] = []
    if igniter.count > 1:
        kind = "series" if igniter.string is not None else igniter.connection or "not stated"
        parts.append(f"{igniter.count} in {kind}")
    if igniter.string is not None:
        mates = [o for o in others if o.igniter.string == igniter.string]
        if mates:
            parts.append(f"string {igniter.string}, in series with {_names(mates)}")
    beside = [o for o in others if igniter.string is None or o.igniter.string != igniter.string]
    if beside:
        parts.append(f"in parallel with {_names(beside)}")
    return "; ".join(parts)


def _names(placed: list[PlacedIgniter]) -> str:
    return ", ".join(p.id for p in placed)
