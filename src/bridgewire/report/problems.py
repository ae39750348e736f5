"""Problems of documents for a person: place, snippet with caret, expected, got, suggestion."""

from __future__ import annotations

from collections.abc import Iterable

from bridgewire.diagnostics import Finding, Location, format_path
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import count, visible, wrap

_BEFORE = 30
"""Columns of a long line shown left of the place."""


def problems_text(
    findings: Iterable[Finding], width: int = 80, ink: Ink = PLAIN, *, file: str = ""
) -> str:
    """Write every problem that kept documents from being used, with a line that counts them.

    Parameters
    ----------
    findings : iterable of Finding
        In the order to show.
    width : int
        Columns of the terminal.
    ink : Ink
    file : str
        Which file the problems are of, where others are gone on with.

    Returns
    -------
    str
        Ends with a line end; characters that a terminal could act on are escaped.

    Examples
    --------
    >>> print(problems_text([Finding("DOC005", "the key 'title' is missing")]), end="")
    DOC005 the key 'title' is missing
    <BLANKLINE>
    1 problem; nothing was checked.
    """
    found = list(findings)
    number = count(len(found), "problem")
    end = (
        f"{number} in {visible(file)}: it was not checked"
        if file
        else f"{number}; nothing was checked"
    )
    return _blocks(found, width, ink, f"{end}.")


def plugin_problems_text(findings: Iterable[Finding], width: int = 80, ink: Ink = PLAIN) -> str:
    """Write what is wrong with plugins, where the work goes on without what they bring.

    Examples
    --------
    >>> found = [Finding("PLG001", "plugin 'lakeside' is not loaded", document="plugins")]
    >>> print(plugin_problems_text(found), end="")
    PLG001 plugin 'lakeside' is not loaded
    <BLANKLINE>
    1 problem with plugins: what they bring may be missing in what follows.
    """
    found = list(findings)
    number = count(len(found), "problem")
    end = f"{number} with plugins: what they bring may be missing in what follows."
    return _blocks(found, width, ink, end)


def _blocks(findings: Iterable[Finding], width: int, ink: Ink, end: str) -> str:
    blocks = ["\n".join(problem_lines(f, width, ink)) for f in findings]
    return "\n\n".join([*blocks, end]) + "\n"


def problem_lines(finding: Finding, width: int = 80, ink: Ink = PLAIN) -> list[str]:
    """Write one problem as lines."""
    lines = [headline(finding, ink)]
    if finding.location is not None and finding.location.snippet:
        lines += _snippet(finding.location, width, ink)
    rows = [
        ("at", visible(format_path(finding.path))),
        ("expected", visible(finding.expected)),
        ("got", visible(finding.got)),
        ("hint", visible(_hint(finding.suggestion))),
        ("do", visible(finding.remedy)),
    ]
    for name, text in rows:
        if text:
            lines += wrap(text, width, f"  {name + ':':<10}")
    return lines


def headline(finding: Finding, ink: Ink = PLAIN) -> str:
    """Write ``file:line:col: CODE message`` on one line."""
    place = f"{visible(str(finding.location))}: " if finding.location is not None else ""
    code = ink.severity(finding.severity, finding.code)
    return f"{place}{code} {visible(finding.message)}"


def _hint(suggestion: str) -> str:
    """A bare word becomes a question; a sentence stays."""
    if not suggestion or " " in suggestion:
        return suggestion
    return f"did you mean {suggestion}?"


def _snippet(place: Location, width: int, ink: Ink) -> list[str]:
    """The source line with a caret under the place, cut to the width."""
    gutter = f"{place.line:>6} | "
    room = max(width - len(gutter), 20)
    source = place.snippet
    start = place.column - 1
    mark = max(1, min(place.width, len(source) - start)) if start < len(source) else 1
    before, marked, after = source[:start], source[start : start + mark], source[start + mark :]
    before, marked, after = visible(before), visible(marked), visible(after)
    left = len(before) - _BEFORE if len(before) + len(marked) > room else 0
    if left > 0:
        before = "…" + before[left + 1 :]
    if len(before) + len(marked) > room:
        marked, after = marked[: max(room - len(before) - 1, 1)] + "…", ""
    rest = room - len(before) - len(marked)
    if len(after) > rest:
        after = after[: max(rest - 1, 0)] + "…" if rest > 0 else ""
    caret = " " * len(before) + ink("^" * max(len(marked), 1), "bold")
    return [f"{gutter}{before}{marked}{after}", f"{'':>6} | {caret}"]
