"""A trace as CSV: one row per time, values just after it."""

from __future__ import annotations

import csv
import io
import math
import re

from bridgewire.timeline.trace import CueTrace

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What a cell that is a formula begins with; wide forms count in some spreadsheets."""
_INNER = re.compile(r"([;,])(?=[=+\-@＝＋－＠])")
"""Where a formula would begin if the file were split at the other delimiter."""


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
        row = [_number(time, 9), _number(trace.supply_V[n])]
        for igniter in trace.igniters:
            row += [_number(igniter.current_A[n]), _number(igniter.rise[n])]
            if igniter.temperature_C is not None:
                row.append(_number(igniter.temperature_C[n]))
            row.append(igniter.state[n])
        writer.writerow(row)
    return out.getvalue()


def safe_cell(text: str) -> str:
    """Make a text harmless in a spreadsheet: no formula, no line breaks or control characters.

    That holds whether the spreadsheet splits the file at commas or at semicolons.

    >>> safe_cell("=1+1"), safe_cell("gold-left"), safe_cell("a;=1+1")
    ("'=1+1", 'gold-left', "a;'=1+1")
    """
    plain = _INNER.sub(r"\1'", "".join(c if c.isprintable() else " " for c in text))
    return f"'{plain}" if plain.lstrip().startswith(_FORMULA) or text[:1] in _FORMULA else plain


def _number(value: float, digits: int = 6) -> str:
    value = float(value)
    if not math.isfinite(value):
        return ""
    return f"{0.0 if abs(value) < 1e-12 else value:.{digits}g}"
