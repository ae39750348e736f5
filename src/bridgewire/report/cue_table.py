"""The table of cues: one line each, what it fires, what comes of it and when."""

from __future__ import annotations

import math
from collections.abc import Iterable

from attrs import frozen

from bridgewire.report.figures import clock, light_band, number, short_seconds
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip, clip_middle, pad, visible
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Times, Verdict

WIDE = 104
"""From this width on the table also tells where most voltage is lost."""


@frozen
class Column:
    """One column: heading, unit under it, width, side."""

    heading: str
    unit: str
    width: int
    right: bool = False


def table_columns(width: int) -> tuple[Column, ...]:
    """The columns that fit a terminal of so many columns (at least 80 are used)."""
    spare = max(width, 80) - 80
    wide = width >= WIDE
    lost = min(40, spare - 1) if wide else 0
    more = max(0, min(spare - (lost + 1 if wide else 0), 24))
    columns = (
        Column("switch", "m:s", 8, True),
        Column("cue", "", 12 + more),
        Column("way", "", 12),
        Column("pulse", "s", 5, True),
        Column("verdict", "", 12),
        Column("light after", "", 12, True),
        Column("spread", "s", 6, True),
        Column("margin", "worst", 6, True),
    )
    return (*columns, Column("most voltage lost in", "", lost)) if wide else columns


def heading_lines(width: int, ink: Ink = PLAIN) -> list[str]:
    """The two lines over the table and the rule under them."""
    columns = table_columns(width)
    names = " ".join(pad(c.heading, c.width, right=c.right) for c in columns).rstrip()
    units = " ".join(pad(c.unit, c.width, right=c.right) for c in columns).rstrip()
    rule = " ".join("-" * c.width for c in columns)
    return [ink(names, "bold"), ink(units, "faint"), ink(rule, "faint")]


def cue_line(cue: CueOutcome, width: int, ink: Ink = PLAIN) -> str:
    """One cue as a line of the table.

    Parameters
    ----------
    cue : CueOutcome
    width : int
        Of the terminal.
    ink : Ink
    """
    columns = table_columns(width)
    way = "no such way" if cue.way is None else "/".join(str(k) for k in cue.way)
    cells = [
        clock(cue.switch_s),
        visible(cue.id),
        visible(way),
        "-" if cue.pulse_s is None else number(cue.pulse_s),
        verdict_cell(cue, columns[4].width),
        light_cell(cue),
        spread_cell(cue),
        margin_cell(cue),
    ]
    if len(columns) > len(cells):
        cells.append(visible(most_lost(cue)))
    done: list[str] = []
    for cell, column in zip(cells, columns, strict=True):
        cut = clip_middle if column.heading in ("cue", "way") else clip
        text = pad(cut(cell, column.width), column.width, right=column.right)
        verdict = cue.verdict
        if column.heading == "verdict" and verdict is not None:
            text = ink.verdict(verdict, text)
        done.append(text)
    return " ".join(done).rstrip()


def verdict_cell(cue: CueOutcome, width: int) -> str:
    """Worst verdict and how many of the igniters meant have it: ``no 1/4``."""
    worst = cue.verdict
    if worst is None:
        return "no igniter"
    same = sum(i.verdict is worst for i in cue.meant)
    full = f"{worst.value} {same}/{len(cue.meant)}"
    return full if len(full) <= width else f"{worst.value} {same}"


def light_cell(cue: CueOutcome) -> str:
    """Earliest to latest light of the igniters meant, s; ``never`` where one may not light."""
    times = _light(cue.meant)
    if times is None:
        meant = cue.meant
        return "lit before" if meant and all(spent(i) for i in meant) else "-"
    return light_band(times)


def _light(meant: Iterable[IgniterOutcome]) -> Times | None:
    known = [i.light for i in meant if i.verdict is not Verdict.UNKNOWN and not spent(i)]
    if not known:
        return None
    return Times(
        min(t.earliest for t in known),
        max(t.typical for t in known),
        max(t.latest for t in known),
    )


def spent(igniter: IgniterOutcome) -> bool:
    """Whether an igniter is lit already when the cue switches, by a cue that goes before."""
    return igniter.lit_before or igniter.light.latest < 0.0


def spread_cell(cue: CueOutcome) -> str:
    """Spread at the worst corner, s; typical and marked ``~`` where no worst one was sought."""
    if cue.spread_worst_s is not None:
        return "-" if math.isinf(cue.spread_worst_s) else short_seconds(cue.spread_worst_s)
    if cue.spread_typical_s is None or math.isinf(cue.spread_typical_s):
        return "-"
    return f"~{short_seconds(cue.spread_typical_s)}"


def margin_cell(cue: CueOutcome) -> str:
    """Least margin of the igniters meant, at the worst corner."""
    margins = [i.margin for i in cue.meant if i.margin is not None]
    return number(min(margins)) if margins else "-"


def most_lost(cue: CueOutcome) -> str:
    """Where the weakest igniter loses most voltage."""
    weakest = min(
        (i for i in cue.meant if i.drops),
        key=lambda i: math.inf if i.margin is None else i.margin,
        default=None,
    )
    if weakest is None:
        return ""
    return f"{weakest.drops[0].label} ({number(weakest.drops[0].volts)} V)"
