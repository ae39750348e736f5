"""Findings grouped by severity, with remedies; a code that repeats is folded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from bridgewire.diagnostics import Finding, Severity
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import visible, wrap
from bridgewire.report.remedy_notes import RemedyNote

SHOWN_OF_ONE_CODE = 3
_TITLES = {Severity.ERROR: "Errors", Severity.WARNING: "Warnings", Severity.INFO: "Notes"}


Notes = Callable[[Finding], Sequence[RemedyNote]]


def findings_lines(
    findings: Iterable[Finding],
    *,
    width: int = 80,
    everything: bool = False,
    ink: Ink = PLAIN,
    notes: Notes = lambda _: (),
) -> list[str]:
    """Write findings as lines.

    Parameters
    ----------
    findings : iterable of Finding
    width : int
    everything : bool
        Show every finding, not only the first three of each code.
    ink : Ink
    notes : callable
        Gives the remedies that were worked out for a finding.

    Returns
    -------
    list of str
        Without line ends; empty where there are no findings.
    """
    by_severity: dict[Severity, list[Finding]] = defaultdict(list)
    for finding in findings:
        by_severity[finding.severity].append(finding)
    lines: list[str] = []
    told: set[int] = set()
    for severity in sorted(by_severity, reverse=True):
        group = by_severity[severity]
        if lines:
            lines.append("")
        title = f"{_TITLES[severity]} ({len(group)})"
        lines.append(ink.severity(severity, title))
        lines += _group(group, width, everything, ink, notes, told)
    return lines


def _group(
    group: list[Finding],
    width: int,
    everything: bool,
    ink: Ink,
    notes: Notes,
    told: set[int],
) -> list[str]:
    by_code: dict[str, list[Finding]] = defaultdict(list)
    for finding in group:
        by_code[finding.code].append(finding)
    lines: list[str] = []
    for code, same in by_code.items():
        limit = len(same) if everything or len(same) == SHOWN_OF_ONE_CODE + 1 else SHOWN_OF_ONE_CODE
        for finding in same[:limit]:
            lines += _finding(finding, width, ink)
            lines += _notes(notes(finding), told, width)
        if len(same) > limit:
            lines.append(ink(f"  and {len(same) - limit} more {code}; --all shows them", "faint"))
    return lines


def _finding(finding: Finding, width: int, ink: Ink) -> list[str]:
    place = "" if finding.location is None else f"{visible(str(finding.location))}: "
    lines = [f"  {place}{ink.severity(finding.severity, finding.code)}"]
    lines += wrap(visible(_sentence(finding.message)), width, "    ")
    if finding.remedy:
        lines += wrap(f"Do: {visible(_sentence(finding.remedy))}", width, "    ", "        ")
    return lines


def _notes(notes: Sequence[RemedyNote], told: set[int], width: int) -> list[str]:
    """Remedies of a finding; those told before by their numbers only."""
    lines: list[str] = []
    for note in (n for n in notes if n.number not in told):
        lines += wrap(f"Or: {visible(note.text)}", width, "    ", "        ")
        change = f"{note.before} -> {note.after.removeprefix('margin ')}; "
        figures = change if note.before and note.after else ""
        lines += wrap(visible(f"{figures}{note.cost}"), width, "        ")
    again = [str(n.number) for n in notes if n.number in told]
    if again:
        word = "remedy" if len(again) == 1 else "remedies"
        lines += wrap(f"Or: {word} {', '.join(again)} above", width, "    ", "        ")
    told.update(n.number for n in notes)
    return lines


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else text + "."
