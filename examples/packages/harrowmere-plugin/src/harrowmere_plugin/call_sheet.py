"""Writes what the caller reads out on the night, cue by cue, as plain text."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.plugins import ReportContext, ReportWriter


def write(context: ReportContext) -> str:
    """One line for each cue in order of time, then the cautions."""
    return "\n".join(_lines(context)) + "\n"


def _lines(context: ReportContext) -> Iterator[str]:
    for report in context.reports:
        yield f"CALL SHEET: {_plain(report.title)}"
        for cue in sorted(report.cues, key=lambda c: c.switch_s):
            minutes, seconds = divmod(cue.switch_s, 60.0)
            verdict = "lights nothing" if cue.verdict is None else cue.verdict.value
            yield f"{int(minutes)}:{seconds:04.1f}  {_plain(cue.id)}  [{verdict}]"
        yield ""
    yield from context.cautions


def _plain(text: str) -> str:
    """Text of a document without what a terminal could act on."""
    return "".join(c if c.isprintable() else "?" for c in text)


WRITER = ReportWriter("call-sheet", write, "what the caller reads out")
