"""How far cables reach: as a table for a terminal or a page, as CSV and as JSON."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Mapping, Sequence

from bridgewire.remedies.reach import Reach, ReachQuestion
from bridgewire.report.cautions import CAUTIONS, caution_lines
from bridgewire.report.csv_cells import safe_cell
from bridgewire.report.figures import band_text
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip_middle, count, pad, visible, wrap
from bridgewire.units import seconds

Answers = Mapping[str, Sequence[Reach]]
"""For each cable's full id its answers, all for the same counts of igniters."""

_CELL = 13
WIRINGS = {
    "strip": "all in parallel on one strip at the end of one run",
    "chain": "one on each strip of a chain, at equal distances; the last one counts",
}


def reach_text(question: ReachQuestion, answers: Answers, width: int = 80, ink: Ink = PLAIN) -> str:
    """Write a reach table.

    Parameters
    ----------
    question : ReachQuestion
        Its cable does not matter.
    answers : mapping
    width : int
    ink : Ink

    Returns
    -------
    str
        Ends with a line end.
    """
    lines = [ink("How far cable reaches", "bold")]
    for label, text in question_words(question):
        lines += wrap(text, width, f"  {pad(label, 10)}")
    counts = [r.count for r in next(iter(answers.values()), ())]
    lines += ["", "  Metres of cable up to which every igniter is sure; typical in brackets."]
    longest = max((len(c) for c in answers), default=0) + 2
    beside = longest + _CELL * len(counts) + 2 <= width
    room = max(longest, 10) if beside else 10
    heads = "".join(pad(str(n), _CELL, right=True) for n in counts)
    lines += ["", f"  {pad('igniters', room)}{heads}"]
    for cable, found in answers.items():
        cells = "".join(pad(cell(r, question.longest_m), _CELL, right=True) for r in found)
        if beside:
            lines.append(f"  {pad(visible(cable), room)}{cells}")
        else:
            lines += [f"  {clip_middle(visible(cable), width - 2)}", f"  {' ' * room}{cells}"]
    lines += _why_unknown(answers, width)
    lines += ["", *caution_lines(width, ink)]
    return "\n".join(lines) + "\n"


def _why_unknown(answers: Answers, width: int) -> list[str]:
    """Say what the kits lack, where an answer is unknown."""
    lacks = dict.fromkeys(words for found in answers.values() for r in found for words in r.missing)
    if not lacks:
        return []
    lines = ["", "  unknown, because the kits do not state:"]
    for words in lacks:
        lines += wrap(visible(words), width, "    ", "      ")
    if any(words.startswith("box ") and "supply.open_circuit_V" in words for words in lacks):
        lines.append("  --supply-V MIN MAX states what the meter reads at the supply.")
    return lines


def question_words(question: ReachQuestion) -> list[tuple[str, str]]:
    """What was asked, as names and words."""
    supply = "as the kit says, fully charged"
    if question.supply_V is not None:
        supply = f"{band_text(question.supply_V, 'V')} read on the meter"
    return [
        ("box", visible(question.box)),
        ("igniters", f"{visible(question.igniter_class)}, {WIRINGS[question.wiring]}"),
        ("strips", visible(question.strip)),
        ("pulse", seconds(question.pulse_s)),
        ("supply", supply),
        ("ambient", band_text(question.ambient_C, "°C")),
    ]


def cell(reach: Reach, longest_m: float) -> str:
    """One answer: ``54 (88)``; a dash where not even the shortest run does.

    >>> cell(Reach(1, 54.34, 88.46), 500), cell(Reach(1, None, 500.0), 500)
    ('54 (88)', '- (500+)')
    """
    if reach.unknown:
        return "unknown"
    return f"{_metres(reach.sure_m, longest_m)} ({_metres(reach.typical_m, longest_m)})"


def _metres(metres: float | None, longest_m: float) -> str:
    """Rounded down: a longer cable is not what was found."""
    if metres is None:
        return "-"
    if metres >= longest_m:
        return f"{longest_m:g}+"
    return f"{math.floor(metres)}" if metres >= 10 else f"{math.floor(metres * 10) / 10:g}"


def reach_markdown(question: ReachQuestion, answers: Answers) -> str:
    """Write a reach table for a documentation page."""
    counts = [r.count for r in next(iter(answers.values()), ())]
    lines = ["| Cable | " + " | ".join(count(n, "igniter") for n in counts) + " |"]
    lines.append("|---|" + "---|" * len(counts))
    for cable, found in answers.items():
        cells = " | ".join(cell(r, question.longest_m) for r in found)
        lines.append(f"| `{cable}` | {cells} |")
    return "\n".join(lines) + "\n"


def reach_csv(answers: Answers) -> str:
    """Write a reach table as CSV: one row for each cable and count; what is not known is empty."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["cable", "igniters", "sure_m", "typical_m"])
    for cable, found in answers.items():
        for r in found:
            known = ["", ""] if r.unknown else [_figure(r.sure_m), _figure(r.typical_m)]
            writer.writerow([safe_cell(cable), r.count, *known])
    return out.getvalue()


def _figure(metres: float | None) -> str:
    return "0" if metres is None else f"{metres:.2f}"


def reach_json(question: ReachQuestion, answers: Answers, version: str) -> str:
    """Write a reach table as JSON; 0 where not even the shortest run does, null for unknown."""
    data = {
        "program": {"name": "bridgewire", "version": version},
        "cautions": list(CAUTIONS),
        "question": {
            "box": question.box,
            "strip": question.strip,
            "igniter_class": question.igniter_class,
            "wiring": question.wiring,
            "pulse_s": question.pulse_s,
            "ambient_C": {
                "min": question.ambient_C.min,
                "typical": question.ambient_C.typical,
                "max": question.ambient_C.max,
            },
            "longest_m": question.longest_m,
        },
        "cables": [
            {
                "cable": cable,
                "reaches": [
                    {
                        "igniters": r.count,
                        "sure_m": None if r.unknown else r.sure_m or 0.0,
                        "typical_m": None if r.unknown else r.typical_m or 0.0,
                    }
                    for r in found
                ],
            }
            for cable, found in answers.items()
        ],
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
