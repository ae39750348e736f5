"""A sweep over values of a show as a table for a terminal, as CSV and as JSON."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from typing import Any

from bridgewire.remedies.setting import Setting
from bridgewire.remedies.sweep import SweepRow
from bridgewire.report.cautions import CAUTIONS, caution_lines
from bridgewire.report.csv_cells import safe_cell
from bridgewire.report.figures import number
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip_middle, pad, visible, wrap
from bridgewire.timeline.outcomes import Verdict
from bridgewire.units import seconds

_VERDICTS = (Verdict.SURE, Verdict.MARGINAL, Verdict.NO, Verdict.UNKNOWN)
_HEADS = "  sure marg.    no unkn.  margin   latest  not sure"
_VALUE, _NARROW = 14, 7
_REST = 2 + 4 * 6 + 8 + 9 + 2 + 8
"""Columns of the rest of a line, with 8 for the name of the first cue that is not sure."""


def sweep_text(
    title: str,
    settings: Sequence[Setting],
    rows: Sequence[SweepRow],
    width: int = 80,
    ink: Ink = PLAIN,
) -> str:
    """Write a sweep as a table.

    Parameters
    ----------
    title : str
        Of the show.
    settings : sequence of Setting
    rows : sequence of SweepRow
    width : int
    ink : Ink

    Returns
    -------
    str
        Ends with a line end.
    """
    lines = [ink(f"{visible(title)}: what if", "bold")]
    letters = [chr(ord("a") + i) for i in range(len(settings))]
    for letter, setting in zip(letters, settings, strict=True):
        places = len(setting.paths)
        more = f" ({places} places)" if places > 1 else ""
        lines += wrap(f"{visible(setting.text)}{more}", width, f"  {letter}  ")
    each = min((width - _REST) // max(len(settings), 1), _VALUE)
    beside = each >= _NARROW
    heads = "".join(pad(letter, each) for letter in letters) if beside else ""
    lines += ["", f"  {heads}{_HEADS}"]
    for row in rows:
        if beside:
            values = "".join(_cell(v, each) for v in row.values)
        else:  # too many settings: they go on lines of their own
            told = zip(letters, row.values, strict=True)
            words = ", ".join(f"{letter} {shown(v)}" for letter, v in told)
            lines += wrap(visible(words), width, "  ", "    ")
            values = ""
        if row.problems:
            lines += wrap(f"cannot be used: {visible(row.problems[0])}", width, f"  {values}  ")
            continue
        counts = "".join(pad(str(row.counts[v]), 6, right=True) for v in _VERDICTS)
        latest = _latest(row) if row.latest_s is None else seconds(row.latest_s)
        absent = "-" if latest == "-" else "?"
        margin = absent if row.margin is None else f"{row.margin:.2f}"
        text = f"  {values}{counts}{pad(margin, 8, right=True)}{pad(latest, 9, right=True)}"
        room = width - len(text) - 2
        lines.append(f"{text}  {clip_middle(visible(row.first_bad), room)}".rstrip())
    lines += ["", *caution_lines(width, ink)]
    return "\n".join(lines) + "\n"


def _latest(row: SweepRow) -> str:
    """What stands for a latest light time that there is not."""
    if row.counts[Verdict.NO] or row.counts[Verdict.MARGINAL]:
        return "never"
    return "?" if row.counts[Verdict.UNKNOWN] else "-"  # no cue asked for has igniters to light


def _cell(value: Any, width: int) -> str:
    return pad(clip_middle(visible(shown(value)), width - 1), width)


def shown(value: Any) -> str:
    """A value as it was given."""
    return number(value) if isinstance(value, float) else str(value)


def sweep_csv(settings: Sequence[Setting], rows: Sequence[SweepRow]) -> str:
    """Write a sweep as CSV, one row for each choice of values; what is not known is empty."""
    out = io.StringIO()
    writer = csv.writer(out)
    words = [f"{v.value}_cues" for v in _VERDICTS]
    names = [safe_cell(s.text) for s in settings]
    writer.writerow([*names, *words, "margin", "latest_s", "first_not_sure", "problem"])
    for row in rows:
        values = [safe_cell(v) if isinstance(v, str) else v for v in row.values]
        counts = [row.counts.get(v, "") for v in _VERDICTS]
        margin = "" if row.margin is None else f"{row.margin:.6g}"
        latest = "" if row.latest_s is None else f"{row.latest_s:.6g}"
        problem = safe_cell("; ".join(row.problems)) if row.problems else ""
        writer.writerow([*values, *counts, margin, latest, safe_cell(row.first_bad), problem])
    return out.getvalue()


def sweep_json(
    title: str, settings: Sequence[Setting], rows: Sequence[SweepRow], version: str
) -> str:
    """Write a sweep as JSON; what is not known, or never comes, is null."""
    data = {
        "program": {"name": "bridgewire", "version": version},
        "cautions": list(CAUTIONS),
        "title": title,
        "settings": [s.text for s in settings],
        "rows": [
            {
                "values": list(row.values),
                "cues": {v.value: row.counts.get(v) for v in _VERDICTS},
                "margin": row.margin,
                "latest_s": row.latest_s,
                "first_not_sure": row.first_bad or None,
                "problems": list(row.problems),
            }
            for row in rows
        ],
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
