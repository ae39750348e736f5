"""The shows of one run in a table: verdicts and findings of each, and of all."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from bridgewire.diagnostics import Severity
from bridgewire.report.contents import Checked, severity_counts
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip_middle, columns, count, pad, visible
from bridgewire.timeline.outcomes import Verdict

_HEADS = {
    Verdict.SURE: "sure",
    Verdict.MARGINAL: "marg.",
    Verdict.NO: "no",
    Verdict.UNKNOWN: "unkn.",
    Severity.ERROR: "err.",
    Severity.WARNING: "warn.",
    Severity.INFO: "notes",
}
_CELL = 5
_MOST_FILE = 70


def summary_table(
    reports: Sequence[Checked],
    unusable: Sequence[tuple[str, int]] = (),
    *,
    width: int = 80,
    ink: Ink = PLAIN,
) -> list[str]:
    """Write a table with one line for each show.

    Parameters
    ----------
    reports : sequence of Checked
    unusable : sequence of (str, int)
        Files that could not be checked, with the number of problems.
    width : int
        Columns; 80 are used at least.
    ink : Ink

    Returns
    -------
    list of str
        Without line ends. Igniters by verdict, findings by severity (without known and ignored
        ones), and known findings where there are any; then the sum, and which show is the worst.
    """
    known = any(r.known for r in reports)
    heads = [*_HEADS.values(), *(["known"] if known else [])]
    files = [r.file for r in reports] + [f for f, _ in unusable]
    room = max(width, 80) - 2 - len(heads) * (_CELL + 1)
    folder = _common_folder(files) if max(map(columns, map(visible, files))) > room else ""
    names = [visible(f.removeprefix(folder)) for f in files]
    wide = min(room, _MOST_FILE, max([columns(n) for n in names] + [len("all shows")]))

    def line(name: str, cells: Sequence[str]) -> str:
        first = pad(clip_middle(name, wide), wide)
        return "  " + " ".join([first, *(pad(c, _CELL, right=True) for c in cells)])

    where = f" in {clip_middle(visible(folder), max(width, 80) - 16)}" if folder else ""
    lines = [
        ink(f"Shows ({len(names)})", "bold") + where,
        ink(line("", heads), "faint"),
    ]
    total = [0] * len(heads)
    for report, name in zip(reports, names, strict=False):
        cells = _cells(report, known)
        total = [a + b for a, b in zip(total, cells, strict=True)]
        lines.append(line(name, [str(c) for c in cells]))
    for (_, problems), name in zip(unusable, names[len(reports) :], strict=True):
        said = f"not checked, {count(problems, 'problem')}"
        lines.append(
            f"  {pad(clip_middle(name, wide), wide)}   {ink.severity(Severity.ERROR, said)}"
        )
    lines.append(line("all shows", [str(c) for c in total]))
    return [*lines, *_worst(reports, unusable, width)]


def _common_folder(files: Sequence[str]) -> str:
    """The folder that all files are in, with its last slash; empty where there is none."""
    folders = [f.split("/")[:-1] for f in files]
    shared = takewhile(lambda steps: len(set(steps)) == 1, zip(*folders, strict=False))
    return "".join(f"{steps[0]}/" for steps in shared)


def _cells(report: Checked, known: bool) -> list[int]:
    verdicts, severities = report.verdict_counts(), severity_counts(report)
    cells = [verdicts[v] for v in Verdict]
    cells += [severities[s] for s in sorted(Severity, reverse=True)]
    return [*cells, len(report.known)] if known else cells


def _worst(
    reports: Sequence[Checked], unusable: Sequence[tuple[str, int]], width: int
) -> list[str]:
    """The show to look at first."""
    if unusable:
        number = count(len(unusable), "show")
        return [f"  {number} could not be read: mend that first."]
    ranked = sorted(reports, key=_rank)
    if not ranked or _rank(ranked[-1]) <= (0, 0, 0, 0):
        new = "a new" if any(r.known for r in reports) else "an"
        return [f"  No show has {new} error or warning, or an igniter that is not sure."]
    file = clip_middle(visible(ranked[-1].file), max(width, 80) - 20)
    return [f"  Look first at {file}"]


def _rank(report: Checked) -> tuple[int, int, int, int]:
    verdicts, severities = report.verdict_counts(), severity_counts(report)
    return (
        severities[Severity.ERROR],
        verdicts[Verdict.NO] + verdicts[Verdict.UNKNOWN],
        verdicts[Verdict.MARGINAL],
        severities[Severity.WARNING],
    )
