"""The wiring sheets: one part for each place."""

from __future__ import annotations

from bridgewire.circuit.layout import Layout, Part
from bridgewire.model.kit import StripKind
from bridgewire.report.figures import number
from bridgewire.report.sheets.contents import Column, Grid, Section, Sheet
from bridgewire.report.sheets.names import path_name, short_ref
from bridgewire.report.sheets.wiring import FeedRow, Place, TerminalRow, wiring
from bridgewire.timeline.outcomes import CueOutcome

NAME = "wiring"

_FEED = (
    Column("part", 1.6),
    Column("at", 1.1),
    Column("run", 3.1),
    Column("other end", 1.8),
    Column("cable", 2.1),
    Column("length, m", 1.5, right=True),
    Column("note", 1.6, optional=True),
    Column("done", 0.9, write=True),
)
_TERMINAL = (
    Column("way", 0.8, right=True),
    Column("igniter", 3.0),
    Column("class", 2.1),
    Column("joined", 1.9, optional=True),
    Column("lead", 1.3, optional=True),
    Column("lights", 2.0, optional=True),
    Column("cue", 2.0),
    Column("done", 0.9, write=True),
    Column("seen by", 0.9, write=True),
)


def wiring_sheet(layout: Layout, cues: tuple[CueOutcome, ...]) -> Sheet:
    """Make the wiring sheets of a show, place by place.

    Parameters
    ----------
    layout : Layout
    cues : tuple of CueOutcome
        As checked.
    """
    places = wiring(layout, cues)
    return Sheet(
        NAME,
        "Wiring by position",
        (
            "One part for each position. A terminal that is not listed stays empty.",
            "The way is the number that the firing box counts; igniters on the same way of other "
            "strips of the output fire with it.",
        ),
        tuple(_section(layout, p, i) for i, p in enumerate(places)),
        {
            NAME: (TerminalRow, [r for p in places for _, rows in p.strips for r in rows]),
            f"{NAME}-runs": (FeedRow, [f for p in places for f in p.feeds]),
        },
        cautions=("Wire only while the supply is disconnected and the box is locked or disarmed.",),
    )


def _section(layout: Layout, place: Place, index: int) -> Section:
    catalogue = layout.catalogue
    where = []
    if place.at_m is not None:
        where.append(f"On the plan at x {number(place.at_m[0])} m, y {number(place.at_m[1])} m.")
    grids: list[Grid] = []
    if place.feeds:
        grids.append(
            Grid(
                _FEED,
                tuple(_feed(f, short_ref(catalogue.cables, f.cable)) for f in place.feeds),
                f"{place.name}: cables here",
            )
        )
    for strip, rows in place.strips:
        cells = tuple(_terminal(r, short_ref(catalogue.igniters, r.igniter_class)) for r in rows)
        kind = short_ref(catalogue.strips, strip.kind_id)
        if not rows:
            where.append(f"{_strip_caption(strip, kind)}. No igniter is on it.")
            continue
        caption = _strip_caption(strip, kind)
        if strip.id != place.name:
            caption = f"{place.name}: {caption[0].lower()}{caption[1:]}"
        grids.append(Grid(_TERMINAL, cells, caption))
    title = f"{place.name}: {place.title}" if place.title else place.name
    return Section(title, tuple(where), tuple(grids), new_page=index > 0)


def _strip_caption(strip: Part, kind: str) -> str:
    assert isinstance(strip.kind, StripKind)
    last = strip.first_way + strip.kind.ways - 1
    ways = f"ways {strip.first_way} to {last}" if last > strip.first_way else f"way {last}"
    return f"Strip {strip.id} ({kind}, {ways}): {path_name(strip)}"


def _feed(row: FeedRow, cable: str) -> tuple[str, ...]:
    notes = []
    if row.parallel > 1:
        notes.append(f"{row.parallel} cables side by side")
    if row.joints:
        notes.append(f"{row.joints} joints" if row.joints > 1 else "1 joint")
    if row.drum:
        notes.append(f"drum {row.drum}")
    return (
        row.part,
        row.side,
        row.run,
        row.other_end,
        cable,
        row.length_m,
        ", ".join(notes),
    )


def _terminal(row: TerminalRow, klass: str) -> tuple[str, ...]:
    lead = f"{row.extra_lead_m} m {row.lead_cable}" if row.extra_lead_m else ""
    if row.batch:
        klass += f", batch {row.batch}"
    return (
        str(row.way),
        row.igniter,
        klass,
        row.joined,
        lead,
        row.lights,
        row.cues or "no cue",
    )
