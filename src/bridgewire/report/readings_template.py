"""A readings file to fill in: every circuit and place, with what is expected."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable

from bridgewire.bench.meter.expected import THROUGH_DIODE, ExpectedResistance
from bridgewire.report.csv_cells import safe_cell
from bridgewire.rules.subjects import way_name

HEADINGS = (
    "circuit",
    "place",
    "moment",
    "reading_ohm",
    "lead_ohm",
    "low_ohm",
    "high_ohm",
    "remark",
)


def readings_template(expected: Iterable[ExpectedResistance], delimiter: str = ",") -> str:
    """Write a file with blank readings.

    Parameters
    ----------
    expected : iterable of ExpectedResistance
        Places behind a diode are left out: a reading there tells nothing.
    delimiter : str
        ``,``, ``;`` or a tab. With ``;`` numbers have a decimal comma, as spreadsheets that part
        cells by semicolons do.

    Returns
    -------
    str
        Lines end in CR LF (RFC 4180); a name that a spreadsheet would take for a formula begins
        with an apostrophe, which is passed over when the file is read.
    """
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerow(HEADINGS)
    for e in expected:
        if e.note == THROUGH_DIODE:
            continue
        low = high = "open" if e.reads_open == "yes" else ""
        if e.band is not None:
            low = _rounded(math.floor(e.band.min * 1000.0 + 1e-9), delimiter)
            high = _rounded(math.ceil(e.band.max * 1000.0 - 1e-9), delimiter)
            if e.reads_open == "may":
                high += " or open"
        name = safe_cell(way_name(e.way))
        writer.writerow([name, safe_cell(e.place), e.moment, "", "", low, high, ""])
    return out.getvalue()


def _rounded(milliohm: int, delimiter: str) -> str:
    text = f"{milliohm / 1000.0:.3f}"
    return text.replace(".", ",") if delimiter == ";" else text
