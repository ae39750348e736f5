"""The pulse programming sheets: for each box its cues by time and by way."""

from __future__ import annotations

from bridgewire.circuit.layout import Layout
from bridgewire.report.figures import clock, number
from bridgewire.report.plain_text import count
from bridgewire.report.sheets.contents import Column, Grid, Section, Sheet
from bridgewire.report.sheets.pulses import PulseRow, hold_off_text, pulse_rows
from bridgewire.timeline.outcomes import CueOutcome

NAME = "pulses"

_BY_TIME = (
    Column("time, m:s", 1.1, right=True),
    Column("cue", 2.2),
    Column("out/way", 0.9, right=True),
    Column("pulse, s", 0.8, right=True),
    Column("set", 1.6),
    Column("again", 1.2, optional=True),
    Column("free at, m:s", 1.1, right=True),
    Column("lights", 3.0),
    Column("verdict", 1.0),
    Column("set by", 0.8, write=True),
)
_BY_WAY = (
    Column("out", 0.5, right=True),
    Column("way", 0.5, right=True),
    Column("pulse, s", 0.8, right=True),
    Column("set", 1.6),
    Column("again", 1.2, optional=True),
    Column("time, m:s", 1.1, right=True),
    Column("cue", 2.4),
    Column("igniters", 3.2),
    Column("seen by", 0.8, write=True),
)


def pulse_sheet(layout: Layout, cues: tuple[CueOutcome, ...]) -> Sheet:
    """Make the pulse programming sheets of a show, box by box.

    Parameters
    ----------
    layout : Layout
    cues : tuple of CueOutcome
        As checked.
    """
    rows = pulse_rows(layout, cues)
    lost = [c for c in cues if c.way is None]
    sections = [
        _section(layout, box, [r for r in rows if r.box == box], first=i == 0)
        for i, box in enumerate(layout.boxes)
    ]
    alerts: tuple[str, ...] = ()
    if lost:
        names = ", ".join(c.id for c in lost)
        alerts = (f"NOT ON ANY BOX, because no box has the way: {names}.",)
    return Sheet(
        NAME,
        "Pulses by box",
        (
            "Times are those at which the box switches. Let a second person read every setting "
            "back from the box.",
        ),
        tuple(sections),
        {NAME: (PulseRow, rows)},
        cautions=("Programme with the box disarmed and its outputs unplugged.",),
        alerts=alerts,
        landscape=True,
    )


def _section(layout: Layout, box: str, rows: list[PulseRow], *, first: bool) -> Section:
    _, kind, kind_id = layout.boxes[box]
    head = [
        f"{kind_id}; {count(kind.outputs, 'output')} of {count(kind.ways, 'way')}; "
        f"hold-off: {hold_off_text(kind.hold_off)}; {count(len(rows), 'cue')}."
    ]
    wrong = [r for r in rows if r.offered is not True]
    alerts: tuple[str, ...] = ()
    if wrong:
        names = ", ".join(r.cue for r in wrong)
        alerts = (f"CANNOT BE SET AS WRITTEN, or not known: {names}.",)
    if not rows:
        return Section(box, (*head, "No cue fires this box."), new_page=not first)
    by_way = sorted(rows, key=lambda r: (r.output, r.way, r.time_s))
    return Section(
        box,
        tuple(head),
        (
            Grid(_BY_TIME, tuple(_time_row(r) for r in rows), f"{box}, by time"),
            Grid(_BY_WAY, tuple(_way_row(r) for r in by_way), f"{box}, by output and way"),
        ),
        alerts,
        new_page=not first,
    )


def _pulse(row: PulseRow) -> str:
    return "not stated" if row.pulse_s is None else f"{row.pulse_s:.6g}"


def _again(row: PulseRow) -> str:
    if not row.repeats:
        return ""
    return f"{row.repeats} × after {number(row.gap_s or 0.0)} s"


def _time_row(row: PulseRow) -> tuple[str, ...]:
    return (
        clock(row.time_s),
        row.cue,
        f"{row.output}/{row.way}",
        _pulse(row),
        row.setting,
        _again(row),
        "not known" if row.free_at_s is None else clock(row.free_at_s),
        row.lights or row.igniters,
        row.verdict,
    )


def _way_row(row: PulseRow) -> tuple[str, ...]:
    return (
        str(row.output),
        str(row.way),
        _pulse(row),
        row.setting,
        _again(row),
        clock(row.time_s),
        row.cue,
        row.igniters,
    )
