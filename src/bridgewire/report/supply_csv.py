"""Voltage and charge per cue as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from bridgewire.report.csv_cells import number_cell, safe_cell
from bridgewire.timeline.supply_log import SupplyLog

HEADINGS = (
    "box",
    "cue",
    "switch_s",
    "open_V",
    "open_typical_V",
    "lowest_V",
    "lowest_typical_V",
    "used_before_C",
    "used_before_Ah",
    "left_pct",
    "left_typical_pct",
)


def supply_csv(logs: Iterable[SupplyLog]) -> str:
    """Write one row per cue, box by box in order of time.

    Parameters
    ----------
    logs : iterable of SupplyLog

    Returns
    -------
    str
        Plain keys are worst corner. What is not known is empty. Lines end in CR LF (RFC 4180); a
        name that a spreadsheet would take for a formula begins with an apostrophe.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEADINGS)
    for log in logs:
        for e in log.entries:
            figures = (
                e.open_V,
                e.open_typical_V,
                e.lowest_V,
                e.lowest_typical_V,
                e.used_before_C,
                e.used_before_Ah,
                e.left_pct,
                e.left_typical_pct,
            )
            names = (safe_cell(log.box), safe_cell(e.id))
            writer.writerow(
                [*names, number_cell(e.switch_s, 9), *(number_cell(f) for f in figures)]
            )
    return out.getvalue()
