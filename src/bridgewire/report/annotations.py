"""A run of the check as GitHub Actions workflow commands, which become annotations of files.

One line is one command: ``::error file=F,line=N,col=N,endColumn=N,title=T::message``. What comes
from a show stands only in places where the service takes it as data: ``%``, carriage return and
line feed are escaped, in properties ``:`` and ``,`` too (GitHub documentation, "Workflow commands",
and the escaping of its published toolkit, from memory). No line begins with anything from a show,
so no name can be a command.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from bridgewire.diagnostics import Severity
from bridgewire.report.contents import SEVERITY_NOUNS
from bridgewire.report.plain_text import count, visible
from bridgewire.report.run import CheckedRun, Entry, full_text, spot_of

_COMMANDS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.INFO: "notice"}
SHOWN = 10
"""The service shows so many annotations of each level of one step (from memory)."""


def annotations_text(run: CheckedRun) -> str:
    """Write a run as workflow commands.

    Parameters
    ----------
    run : CheckedRun

    Returns
    -------
    str
        One command on each line, worst first. Of a level with more than ten findings nine are
        written, and a tenth command that counts the others by code. Ignored findings are left out.
    """
    by_level: dict[Severity, list[Entry]] = {s: [] for s in sorted(Severity, reverse=True)}
    for entry in run.entries():
        by_level[entry.finding.severity].append(entry)
    lines: list[str] = []
    for severity, entries in by_level.items():
        shown = entries if len(entries) <= SHOWN else entries[: SHOWN - 1]
        lines += [_line(e, run) for e in shown]
        rest = entries[len(shown) :]
        if rest:
            lines.append(_rest(severity, rest))
    return "".join(f"{line}\n" for line in lines)


def _line(entry: Entry, run: CheckedRun) -> str:
    finding, spot = entry.finding, spot_of(entry, run.root)
    properties = [("file", spot.path), ("line", str(spot.line))]
    if spot.end_column > spot.column:
        # The service counts the last column in, SARIF and bridgewire do not.
        properties += [("col", str(spot.column)), ("endColumn", str(spot.end_column - 1))]
    properties.append(("title", f"{finding.code} {_subject(entry)}".strip()))
    return _command(
        _COMMANDS[finding.severity], properties, full_text(entry, elsewhere=spot.elsewhere)
    )


def _subject(entry: Entry) -> str:
    """What the finding is about, in a title."""
    return ", ".join(visible(s) for s in entry.finding.subjects[:2])


def _rest(severity: Severity, entries: Sequence[Entry]) -> str:
    codes = Counter(e.finding.code for e in entries)
    listed = ", ".join(f"{n} {code}" if n > 1 else code for code, n in sorted(codes.items()))
    title = f"{count(len(entries), f'further {SEVERITY_NOUNS[severity]}')} in this run"
    return _command(_COMMANDS[severity], [("title", title)], f"{listed}. The report has them all.")


def _command(name: str, properties: Iterable[tuple[str, str]], message: str) -> str:
    listed = ",".join(f"{key}={_property(value)}" for key, value in properties)
    return f"::{name} {listed}::{_data(message)}"


def _data(text: str) -> str:
    """Escape a message; what breaks lines elsewhere is made visible first."""
    return visible(text).replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    """Escape the value of a property."""
    return _data(text).replace(":", "%3A").replace(",", "%2C")
