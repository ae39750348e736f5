"""One show against several kit lists, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from attrs import frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.report.contents import Checked, severity_counts
from bridgewire.report.cue_table import verdict_cell
from bridgewire.report.figures import clock, number
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip, clip_middle, count, pad, visible, wrap
from bridgewire.timeline.outcomes import CueOutcome, Verdict

Answer = Literal["yes", "with errors", "not surely", "no", "unknown", "lacks parts"]

_CUE = 20
_CELL = 14


@frozen
class Column:
    """A show on one kit list: its report, or what the list lacks."""

    name: str
    report: Checked | None
    problems: tuple[Finding, ...] = ()

    @property
    def answer(self) -> Answer:
        """Can this kit fire the show?

        ``yes``: every igniter is sure and no finding is an error. ``with errors``: every igniter
        is sure, but there are errors of another kind. ``not surely``: marginal igniters. ``no``:
        igniters that do not light. ``unknown``: a value is missing, so nobody can tell.
        ``lacks parts``: the show names things that the kit list does not have.
        """
        if self.report is None:
            return "lacks parts"
        counts = self.report.verdict_counts()
        if counts[Verdict.NO]:
            return "no"
        if counts[Verdict.UNKNOWN]:
            return "unknown"
        if counts[Verdict.MARGINAL]:
            return "not surely"
        return "with errors" if severity_counts(self.report)[Severity.ERROR] else "yes"


def comparison_text(
    title: str,
    columns: Sequence[Column],
    *,
    width: int = 80,
    verbose: bool = False,
    ink: Ink = PLAIN,
) -> str:
    """Write the comparison as text.

    Parameters
    ----------
    title : str
        Of the show.
    columns : sequence of Column
    width : int
        Columns that do not fit go into further tables.
    verbose : bool
        Also cues that are sure with every kit list.
    ink : Ink
    """
    lines = [ink(f"{visible(title)} on {count(len(columns), 'kit list')}", "bold")]
    for letter, column in zip(_letters(columns), columns, strict=True):
        lines += wrap(f"{letter}  {visible(column.name)}", width, "  ", "     ")
    lines.append("")
    per_table = max(1, (width - _CUE - 9) // (_CELL + 1))
    named = list(zip(_letters(columns), columns, strict=True))
    for start in range(0, len(named), per_table):
        lines += [*_table(named[start : start + per_table], columns, verbose, ink), ""]
    lines += _where(named, width, ink)
    return "\n".join(lines).rstrip() + "\n"


def _letters(columns: Sequence[Column]) -> list[str]:
    return [chr(ord("A") + i) if i < 26 else f"Z{i - 25}" for i in range(len(columns))]


def _table(
    named: Sequence[tuple[str, Column]], every: Sequence[Column], verbose: bool, ink: Ink
) -> list[str]:
    def row(label: str, cells: Sequence[str]) -> str:
        return f"{pad(label, _CUE + 9)}" + " ".join(pad(c, _CELL) for c in cells).rstrip()

    lines = [ink(row("", [letter for letter, _ in named]), "bold")]
    lines.append(row("fires the show", [c.answer for _, c in named]))
    for verdict in Verdict:
        cells = [
            "-" if c.report is None else str(c.report.verdict_counts()[verdict]) for _, c in named
        ]
        lines.append(row(f"igniters {verdict.value}", cells))
    cells = ["-" if c.report is None else _errors(c.report) for _, c in named]
    lines.append(row("errors, warnings", cells))
    cells = ["-" if c.report is None else _least_margin(c.report) for _, c in named]
    lines.append(row("least margin, worst corner", cells))
    lines += ["", ink(row(f"{'switch':>8} cue", [letter for letter, _ in named]), "bold")]
    shown, sure = _rows([c for _, c in named], every, verbose)
    for when, cue_id, outcomes in shown:
        text = ""
        for cue in outcomes:
            cell = "-" if cue is None else clip(verdict_cell(cue, _CELL), _CELL)
            verdict_found = None if cue is None else cue.verdict
            padded = pad(cell, _CELL + 1)
            text += padded if verdict_found is None else ink.verdict(verdict_found, padded)
        label = pad(clip_middle(visible(cue_id), _CUE - 1), _CUE)
        lines.append(f"{clock(when):>8} {label}{text}".rstrip())
    if sure:
        lines.append(f"{'':>8} {count(sure, 'cue')} sure on every list; --verbose shows them")
    return lines


def _rows(
    columns: Sequence[Column], every: Sequence[Column], verbose: bool
) -> tuple[list[tuple[float, str, list[CueOutcome | None]]], int]:
    """Cues with their outcome on each list, and how many were left out as sure on all."""
    first = next((c.report for c in every if c.report is not None), None)
    if first is None:
        return [], 0
    rows: list[tuple[float, str, list[CueOutcome | None]]] = []
    left_out = 0
    for n in sorted(range(len(first.cues)), key=lambda i: first.cues[i].switch_s):
        outcomes = [c.report.cues[n] if c.report is not None else None for c in columns]
        whole = [c.report.cues[n] for c in every if c.report is not None]
        if verbose or any(o.verdict is not Verdict.SURE for o in whole):
            rows.append((first.cues[n].switch_s, first.cues[n].id, outcomes))
        else:
            left_out += 1
    return rows, left_out


def _errors(report: Checked) -> str:
    counts = severity_counts(report)
    return f"{counts[Severity.ERROR]}, {counts[Severity.WARNING]}"


def _least_margin(report: Checked) -> str:
    margins = [i.margin for c in report.cues for i in c.meant if i.margin is not None]
    return number(min(margins)) if margins else "-"


def _where(named: Sequence[tuple[str, Column]], width: int, ink: Ink) -> list[str]:
    """For each list that does not fire the show: why not, in short."""
    lines: list[str] = []
    for letter, column in named:
        if column.answer == "yes":
            continue
        heading = wrap(f"{letter}  {visible(column.name)}: {column.answer}", width, "", "   ")
        lines += [ink(line, "bold") for line in heading]
        if column.report is None:
            for finding in column.problems[:6]:
                hint = f" ({visible(finding.suggestion)})" if finding.suggestion else ""
                lines += wrap(visible(finding.message) + hint, width, "   - ")
            if len(column.problems) > 6:
                lines.append(f"   and {len(column.problems) - 6} more")
        else:
            lines += _reasons(column.report, width)
        lines.append("")
    return lines


def _reasons(report: Checked, width: int) -> list[str]:
    """The worst findings by code, with the first of each in words."""
    by_code: dict[str, list[Finding]] = {}
    for finding in report.findings:
        if finding.severity is Severity.ERROR:
            by_code.setdefault(finding.code, []).append(finding)
    lines: list[str] = []
    for code, group in sorted(by_code.items(), key=lambda item: -len(item[1]))[:6]:
        times = f" {len(group)} times, first:" if len(group) > 1 else ""
        lines += wrap(f"{code}{times} {visible(group[0].message)}", width, "   - ")
    if len(by_code) > 6:
        lines.append(f"   and {count(len(by_code) - 6, 'more kind')} of error")
    for verdict in (Verdict.NO, Verdict.UNKNOWN, Verdict.MARGINAL):
        ids = list(
            dict.fromkeys(i.id for c in report.cues for i in c.meant if i.verdict is verdict)
        )
        if ids:
            more = f" and {len(ids) - 8} more" if len(ids) > 8 else ""
            names = ", ".join(visible(i) for i in ids[:8])
            lines += wrap(f"{verdict.value}: {names}{more}", width, "   - ")
    return lines
