"""The meter sheets: for each box what every circuit should read, and room for what it reads."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from bridgewire.bench.meter.expected import THROUGH_DIODE
from bridgewire.bench.meter.probe import BOX
from bridgewire.circuit.layout import Layout
from bridgewire.report.plain_text import count
from bridgewire.report.sheets.contents import Column, Grid, Section, Sheet
from bridgewire.report.sheets.meter import MeterRow, meter_rows
from bridgewire.timeline.outcomes import Assessment
from bridgewire.units import amperes

NAME = "meter"

_COLUMNS = (
    Column("out/way", 1.1, right=True),
    Column("measured at", 1.8),
    Column("igniters", 3.2),
    Column("highest test current", 1.2, right=True),
    Column("before, Ω", 1.9),
    Column("read", 0.9, write=True),
    Column("less offset", 0.9, write=True),
    Column("after, Ω", 1.9),
    Column("read", 0.9, write=True),
    Column("less offset", 0.9, write=True),
    Column("by", 0.7, write=True),
)


def meter_sheet(assessment: Assessment) -> Sheet:
    """Make the meter sheets of a show, box by box.

    Parameters
    ----------
    assessment : Assessment
    """
    rows = meter_rows(assessment)
    boxes = list(dict.fromkeys(r.box for r in rows))
    return Sheet(
        NAME,
        "Meter readings",
        (
            "“box” is measured at the plug of the output, unplugged from the box; a strip is "
            "measured on the way's terminal with the strip's inlet unplugged. The igniters are "
            "those that the reading passes through.",
            "First touch the probes together and write down what the meter reads: its offset, with "
            "the leads. Take it off every reading. The bands are for the circuit alone; the "
            "meter's own error comes on top.",
            "“Highest test current” is what the published limits allow through the most sensitive "
            "igniter of the circuit: 0.05 A or 20 % of the no-fire current, whichever is less "
            "(WAC 212-17-317(6), which adopts NFPA 1123).",
            "A reading outside its band: leave the output unplugged, write it down, tell whoever "
            "leads, and measure again once it is put right. Open: a lead off, a plug or clamp that "
            "does not touch, a broken igniter. Below the band: leads that touch, or an igniter "
            "missing from a string in series. Above it: a poor contact, other cable, another "
            "class, or an igniter missing from several in parallel.",
            "After firing, what reads anything but open is live, also where the sheet allows it.",
        ),
        tuple(
            _section(assessment.layout, box, [r for r in rows if r.box == box], first=i == 0)
            for i, box in enumerate(boxes)
        )
        or (Section("No circuit", ("No way has igniters.",)),),
        {NAME: (MeterRow, rows)},
        cautions=(
            "Use only an instrument approved for igniters, whose current into a short circuit is "
            "known and stays below the limit of each circuit and of the igniter's maker. Where the "
            "limit is not known, do not measure.",
            "Test with the box disconnected, from a safe place, with nobody near the articles: as "
            "if the test would fire them. A circuit that reads open after firing can still hold an "
            "igniter that has not lit.",
            "A reading at a strip brings you near the articles: take it before the igniters are in "
            "them, or only as your rules allow.",
        ),
        landscape=True,
    )


def _section(layout: Layout, box: str, rows: list[MeterRow], *, first: bool) -> Section:
    _, _, kind_id = layout.boxes[box]
    behind_diodes = [r for r in rows if r.before_why == r.after_why == THROUGH_DIODE]
    rows = [r for r in rows if r not in behind_diodes]
    outputs = list(dict.fromkeys(r.output for r in rows))
    reasons = [why for r in rows for why in (r.before_why, r.after_why) if why]
    notes = {why: f"note {n}" for n, why in enumerate(dict.fromkeys(reasons), start=1)}
    lines = tuple(f"{name[0].upper()}{name[1:]}: {why}." for why, name in notes.items())
    if behind_diodes:
        places = dict.fromkeys(r.place for r in behind_diodes)
        where = ", ".join("the box" if p == BOX else p for p in places)
        lines += (
            f"Not listed: {count(len(behind_diodes), 'reading')} at {where}, because "
            f"{THROUGH_DIODE}.",
        )
    grids = [_meter_grid()]
    for output in outputs:
        mine = [r for r in rows if r.output == output]
        caption = f"{box}, output {output}"
        grids.append(Grid(_COLUMNS, tuple(_cells(r, notes) for r in mine), caption, row_mm=7.0))
    return Section(f"{box} ({kind_id})", lines, tuple(grids), new_page=not first)


def _meter_grid() -> Grid:
    headings = ("meter", "its current into a short circuit, A", "offset with leads, Ω")
    columns = (
        Column("readings", 1.3),
        *(Column(h, w, write=True) for h, w in zip(headings, (2.2, 2.2, 1.6), strict=True)),
        Column("date", 1.2, write=True),
        Column("by", 1.3, write=True),
    )
    return Grid(columns, (("before firing",), ("after the show",)), "The meter", row_mm=8.0)


def _cells(row: MeterRow, notes: Mapping[str, str]) -> tuple[str, ...]:
    limit = "NOT KNOWN" if row.test_limit_A is None else amperes(row.test_limit_A)
    return (
        f"{row.output}/{row.way}",
        row.place,
        row.igniters,
        limit,
        band_cell(
            row.before_min_ohm, row.before_max_ohm, row.before_opens, notes.get(row.before_why, "")
        ),
        band_cell(
            row.after_min_ohm, row.after_max_ohm, row.after_opens, notes.get(row.after_why, "")
        ),
    )


def band_cell(low: float | None, high: float | None, opens: str, note: str) -> str:
    """What a reading should be, in few words; where nobody can tell, the note that says why.

    Bands are rounded outwards, to hundredths of an ohm below 10 Ω and tenths above.

    >>> band_cell(1.574, 1.911, "no", ""), band_cell(9.87, 12.31, "may", "")
    ('1.57 to 1.92', '9.87 to 12.4 or open')
    >>> band_cell(None, None, "yes", ""), band_cell(None, None, "may", "note 1")
    ('open', 'no band: note 1')
    """
    if low is None or high is None:
        return "open" if opens == "yes" else f"no band: {note}"
    band = f"{_rounded(low, math.floor)} to {_rounded(high, math.ceil)}"
    return f"{band} or open" if opens == "may" else band


def _rounded(ohm: float, towards: Callable[[float], int]) -> str:
    decimals = 2 if ohm < 10.0 else 1
    # A band that ends on a round number must not grow by the error of its last binary digit.
    steps = towards(round(ohm * 10.0**decimals, 6))
    return f"{steps / 10.0**decimals:.{decimals}f}"
