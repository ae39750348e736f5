"""The bench-trial sheet: an empty form for what is seen on the bench."""

from __future__ import annotations

from attrs import fields, frozen

from bridgewire.circuit.layout import Layout
from bridgewire.report.sheets.contents import Column, Grid, Section, Sheet

NAME = "trial"


@frozen
class TrialRow:
    """One igniter in one shot of a bench trial; the names are the headings of the CSV file that
    `bridgewire.documents.bench_list` reads.
    """

    trial: str
    """One wiring with fresh igniters."""
    shot: int
    """One press of the button in it."""
    igniter: str
    class_: str
    place: str
    pulse_s: float | None
    repeat_times: int | None
    repeat_gap_s: float | None
    rest_s: float | None
    supply_V: float | None
    lit: str
    order: int | None
    time_s: float | None
    state_after: str
    reading_ohm: float | None
    remark: str


HEADINGS = tuple(f.name.rstrip("_") for f in fields(TrialRow))
"""Of the form and of its CSV file."""

_WIDTHS = {
    "trial": 0.9,
    "shot": 0.8,
    "igniter": 1.5,
    "class": 1.5,
    "place": 1.3,
    "repeat_times": 1.0,
    "repeat_gap_s": 1.0,
    "lit": 0.8,
    "state_after": 1.1,
    "reading_ohm": 1.2,
    "remark": 2.0,
}


_EXPLAINED = (
    ("place", "strip and way, as one/3"),
    ("pulse_s", "as set on the box, s"),
    ("repeat_times", "further pulses of the shot"),
    ("repeat_gap_s", "pause before each, s"),
    ("rest_s", "time since the shot before, s"),
    ("supply_V", "before the shot, without load, V"),
    ("lit", "yes or no"),
    ("order", "1 for the first to light"),
    ("time_s", "s from the start, or 0.2 to 0.4"),
    ("state_after", "open, closed, shorted or residual"),
    ("reading_ohm", "what the meter read then, Ω"),
    ("remark", "anything odd"),
)
"""Columns of the form that do not explain themselves."""


def _explained() -> Grid:
    """What the columns mean, three beside each other."""
    rows = len(_EXPLAINED) // 3
    columns = (Column("", 1.15), Column("", 2.3)) * 3
    cells = tuple(tuple(t for e in _EXPLAINED[n::rows] for t in e) for n in range(rows))
    return Grid(columns, cells, "What goes into the columns of the form")


def trial_sheet(layout: Layout, kits: tuple[str, ...], rows: int = 22) -> Sheet:
    """Make the form for a bench trial with the kit of a show.

    Parameters
    ----------
    layout : Layout
    kits : tuple of str
        The kits with their versions, to be named on the form.
    rows : int
        Empty rows, at least 1.
    """
    head = Grid(
        tuple(Column(h, 1.0, write=True) for h in ("date", "place", "air °C", "led by", "seen by")),
        ((),),
        row_mm=8.0,
    )
    setup = Grid(
        (Column("", 1.5), Column("", 3.0, write=True)) * 2,
        (
            (
                "box, supply and its charge",
                "wiring: cables, lengths, joints, splitters, strips",
            ),
            (
                "meter: current into a short circuit, offset",
                "igniters: class, batch, resistance of each before",
            ),
        ),
        row_mm=10.0,
    )
    classes = sorted({p.class_id for p in layout.igniters})
    form = Grid(
        tuple(Column(h, _WIDTHS.get(h, 1.0), write=True) for h in HEADINGS),
        ((),) * rows,
        row_mm=7.0,
    )
    return Sheet(
        NAME,
        "Bench trial",
        (
            f"Kit: {', '.join(kits) or 'none'}. Classes of this show: {', '.join(classes)}.",
            "One row for each igniter in each shot. A trial is one wiring with fresh igniters; a "
            "shot is one press of the button. Write what was seen, not what was expected.",
        ),
        (
            Section("The bench", (), (head, setup, _explained())),
            Section("What was seen", (), (form,), new_page=True),
        ),
        {NAME: (TrialRow, ())},
        cautions=(
            "A trial lights real igniters. Do it where firing is allowed, without articles, at the "
            "distance and with the eye protection that your rules ask for.",
            "Disconnect the supply and wait before anybody touches the wiring, whatever was seen.",
        ),
        landscape=True,
    )
