"""What changed between two revisions of shows, as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable

from bridgewire.diagnostics import Finding
from bridgewire.report.cautions import caution_lines
from bridgewire.report.contents import Checked
from bridgewire.report.cue_table import verdict_cell
from bridgewire.report.diff_changes import ShowDiff, Turn, VerdictChange
from bridgewire.report.diff_run import (
    RunDiff,
    figure_text,
    kit_text,
    light_text,
    margin_text,
    move_text,
    verdict_text,
)
from bridgewire.report.figures import clock
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import visible, wrap
from bridgewire.report.text import one_line
from bridgewire.timeline.outcomes import CueOutcome, Verdict

_TITLES = {
    Turn.WORSE: "Verdicts worse",
    Turn.BETTER: "Verdicts better",
    Turn.OTHER: "Verdicts changed otherwise",
}


def diff_text(run: RunDiff, width: int = 80, ink: Ink = PLAIN) -> str:
    """Write a difference as text.

    Parameters
    ----------
    run : RunDiff
    width : int
        Columns of the terminal.
    ink : Ink

    Returns
    -------
    str
        Show by show, those without any change in one line each; then the headline and the
        cautions. Ends with a line end.
    """
    lines: list[str] = []
    for show in run.shows:
        lines += _show_lines(show, width, ink)
    for report in run.new_shows:
        lines += [*wrap(f"new: {one_line(report)}", width, "", "  "), ""]
    for file in run.gone_shows:
        lines += [*wrap(f"gone: {visible(file)}", width, "", "  "), ""]
    lines.append(f"{ink('Changed', 'bold')}   {run.headline()}")
    return "\n".join([*lines, "", *caution_lines(width, ink)]) + "\n"


def _show_lines(show: ShowDiff, width: int, ink: Ink) -> list[str]:
    title = ink(visible(show.new.title), "bold")
    lines = [
        title,
        *wrap(f"old  {_revision(show.old)}", width, "  ", "       "),
        *wrap(f"new  {_revision(show.new)}", width, "  ", "       "),
    ]
    if show.nothing_changed:
        return [*lines, "  no change", ""]
    if show.old.title != show.new.title:
        lines += wrap(f"title was {visible(show.old.title)}", width, "  ")
    for turn, heading in _TITLES.items():
        rows = [line for v in show.turned(turn) for line in _verdict_lines(v, width, ink)]
        lines += _section(heading, len(show.turned(turn)), rows)
    if not show.verdicts:
        lines += ["", "Nothing changed in verdicts."]
    lines += _cue_sections(show, width)
    rows = [
        line
        for f in show.figures
        for line in wrap(
            f"{visible(f.cue)}, {visible(f.igniter)}: {figure_text(f)}", width, "  ", "    "
        )
    ]
    lines += _section("Margins and light times", len(show.figures), rows)
    lines += _findings("New findings", show.found, width, ink)
    lines += _findings("Findings that got worse", show.worse_findings, width, ink)
    lines += _findings("Findings that the show ignores now", show.silenced, width, ink)
    lines += _findings("Cleared findings", show.cleared, width, ink)
    rows = [
        line
        for k in show.kits
        for line in wrap(f"{visible(k.id)}: {visible(kit_text(k))}", width, "  ", "    ")
    ]
    lines += _section("Kit profiles", len(show.kits), rows)
    return [*lines, ""]


def _revision(report: Checked) -> str:
    return f"{visible(report.file)}, revision {report.revision}"


def _section(heading: str, number_of: int, rows: Iterable[str]) -> list[str]:
    return ["", f"{heading} ({number_of})", *rows] if number_of else []


def _verdict_lines(change: VerdictChange, width: int, ink: Ink) -> list[str]:
    parts = [verdict_text(change)]
    if margin_text(change):
        parts.append(f"margin {margin_text(change)}")
    if light_text(change):
        parts.append(f"light {light_text(change)}")
    text = f"{visible(change.cue)}, {visible(change.igniter)}: {'; '.join(parts)}"
    verdict = Verdict.NO if change.after is None else change.after
    return [ink.verdict(verdict, line) for line in wrap(text, width, "  ", "    ")]


def _cue_sections(show: ShowDiff, width: int) -> list[str]:
    lines = _section(
        "Cues added",
        len(show.added),
        [line for c in show.added for line in wrap(_cue(c), width, "  ", "    ")],
    )
    lines += _section(
        "Cues removed",
        len(show.removed),
        [line for c in show.removed for line in wrap(_cue(c), width, "  ", "    ")],
    )
    rows = [
        line
        for m in show.moves
        for line in wrap(f"{visible(m.cue)}: {visible(move_text(m))}", width, "  ", "    ")
    ]
    return [*lines, *_section("Cues set otherwise", len(show.moves), rows)]


def _cue(cue: CueOutcome) -> str:
    way = "no such way" if cue.way is None else "/".join(str(k) for k in cue.way)
    return f"{clock(cue.switch_s)} {visible(cue.id)}, {visible(way)}: {verdict_cell(cue, 40)}"


def _findings(heading: str, findings: tuple[Finding, ...], width: int, ink: Ink) -> list[str]:
    rows = []
    for finding in findings:
        text = f"{finding.code} {finding.severity.word}: {visible(finding.message)}"
        rows += [ink.severity(finding.severity, w) for w in wrap(text, width, "  ", "    ")]
    return _section(heading, len(findings), rows)
