"""What changed between two revisions of shows, as Markdown for a comment on a pull request."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bridgewire.diagnostics import Finding
from bridgewire.report import markdown
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.contents import Checked
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
from bridgewire.report.markdown import COMMENT_LIMIT, Page, code, text
from bridgewire.timeline.outcomes import CueOutcome

MARKER = "<!-- bridgewire diff -->"
"""First line of the comment, by which a job finds the comment of its last run."""
_FOOT = f"<sub>{markdown.text(CAUTIONS[0])}</sub>\n"
_CLOSE = "</details>\n\n"
_TABLES = {
    Turn.WORSE: "Worse",
    Turn.BETTER: "Better",
    Turn.OTHER: "Changed otherwise",
}


def diff_markdown(run: RunDiff, limit: int = COMMENT_LIMIT) -> str:
    """Write a difference as Markdown.

    Parameters
    ----------
    run : RunDiff
    limit : int
        Characters that the comment may have, at least 2000; what does not fit is counted.

    Returns
    -------
    str
        A headline, tables of the verdicts that changed, the worst first, and everything else in
        blocks that are folded. Starts with a fixed comment line; names from shows are escaped.

    Raises
    ------
    ValueError
        If the limit is below 2000.
    """
    if limit < 2000:
        raise ValueError("a comment needs at least 2000 characters")
    page = Page(limit, _FOOT)
    page.add(f"{MARKER}\n### bridgewire: {run.headline()}\n\n")
    for turn, title in _TABLES.items():
        rows = [_row(show, change, run.several) for show, change in run.turned(turn)]
        if rows:
            page.add(f"**{title}**\n\n")
            head = ["Cue", "Igniter", "Verdict", "Margin", "Light"]
            page.table(["Show", *head] if run.several else head, rows, "verdict")
    _whole_shows(page, run)
    for show in run.shows:
        if not show.nothing_changed:
            _details(page, show)
    return page.finished()


def _row(show: ShowDiff, change: VerdictChange, several: bool) -> list[str]:
    worst = change.turn is Turn.WORSE
    verdict = _arrows(verdict_text(change))
    cells = [
        code(change.cue),
        code(change.igniter),
        f"**{verdict}**" if worst else verdict,
        _arrows(margin_text(change)) or "–",
        _arrows(light_text(change)) or "–",
    ]
    return [code(show.new.file), *cells] if several else cells


def _arrows(words: str) -> str:
    return text(words.replace(" -> ", " → "))


def _whole_shows(page: Page, run: RunDiff) -> None:
    page.list("New shows", [_counts(r) for r in run.new_shows], "show")
    page.list("Shows gone", [code(f) for f in run.gone_shows], "show")


def _counts(report: Checked) -> str:
    counts = ", ".join(f"{n} {v.value}" for v, n in report.verdict_counts().items() if n)
    return f"{code(report.file)}: {counts or 'no igniter'}"


def _details(page: Page, show: ShowDiff) -> None:
    """One folded block with everything that changed in a show."""
    revisions = f"{show.old.revision} → {show.new.revision}"
    opening = (
        f"<details><summary>{text(show.new.title, 80)}, {code(show.new.file)}: "
        f"{revisions}</summary>\n\n"
    )
    if not page.begin(opening, _CLOSE):
        return
    for title, items, noun in _lists(show):
        page.list(title, items, noun)
    page.end(_CLOSE)


def _lists(show: ShowDiff) -> Iterator[tuple[str, Sequence[str], str]]:
    yield "Cues added", [_cue(c) for c in show.added], "cue"
    yield "Cues removed", [_cue(c) for c in show.removed], "cue"
    moves = [f"{code(m.cue)}: {text(move_text(m))}" for m in show.moves]
    yield "Cues set otherwise", moves, "cue"
    figures = [f"{code(f.cue)}, {code(f.igniter)}: {_arrows(figure_text(f))}" for f in show.figures]
    yield "Margins and light times", figures, "figure"
    yield "New findings", [_finding(f) for f in show.found], "finding"
    yield "Findings that got worse", [_finding(f) for f in show.worse_findings], "finding"
    yield "Findings that the show ignores now", [_finding(f) for f in show.silenced], "finding"
    yield "Cleared findings", [_finding(f) for f in show.cleared], "finding"
    yield "Kit profiles", [f"{code(k.id)}: {_arrows(kit_text(k))}" for k in show.kits], "profile"


def _cue(cue: CueOutcome) -> str:
    way = "no such way" if cue.way is None else "/".join(str(k) for k in cue.way)
    verdict = "no igniter" if cue.verdict is None else cue.verdict.value
    return f"{clock(cue.switch_s)} {code(cue.id)} on {code(way)}: {verdict}"


def _finding(finding: Finding) -> str:
    return f"{code(finding.code)} {finding.severity.word}: {text(finding.message)}"
