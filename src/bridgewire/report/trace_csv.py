"""A trace as CSV: one row per time, values just after it."""

from __future__ import annotations

import csv
import io

from bridgewire.report.csv_cells import number_cell, safe_cell
from bridgewire.timeline.trace import CueTrace


def trace_csv(trace: CueTrace) -> str:
    """Write a trace as CSV.

    Parameters
    ----------
    trace : CueTrace

    Returns
    -------
    str
        Columns: ``time_s`` from the switching of the cue, ``supply_V``, then for each igniter
        ``current_A``, ``rise`` (1 lights), ``temperature_C`` where it is known, and ``state``,
        each after the igniter's id. Lines end in CR LF (RFC 4180). A heading that a spreadsheet
        would take for a formula begins with an apostrophe.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    headings = ["time_s", "supply_V"]
    for igniter in trace.igniters:
        names = ["current_A", "rise"]
        names += ["temperature_C"] if igniter.temperature_C is not None else []
        headings += [safe_cell(f"{igniter.id} {name}") for name in (*names, "state")]
    writer.writerow(headings)
    for n, time in enumerate(trace.time_s.tolist()):
        row = [number_cell(time, 9), number_cell(trace.supply_V[n])]
        for igniter in trace.igniters:
            row += [number_cell(igniter.current_A[n]), number_cell(igniter.rise[n])]
            if igniter.temperature_C is not None:
                row.append(number_cell(igniter.temperature_C[n]))
            row.append(igniter.state[n])
        writer.writerow(row)
    return out.getvalue()
