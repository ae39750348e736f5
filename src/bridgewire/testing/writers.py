"""Whether a report writer copes with every sort of report."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable

from attrs import evolve

from bridgewire import __version__
from bridgewire.api import Report, check
from bridgewire.diagnostics import Finding, Location, Severity
from bridgewire.errors import InputError
from bridgewire.plugins.answers import ReportWriter
from bridgewire.plugins.contexts import ReportContext
from bridgewire.plugins.guards import guarded_writer
from bridgewire.plugins.plugin_set import Plugin
from bridgewire.report.cautions import CAUTIONS
from bridgewire.testing.problems import fail
from bridgewire.testing.shows import small_show

_TESTED = Plugin("tested", "", "tested", "0")
_AWKWARD = "<b>&amp; \"quoted\" 'x' | a;b,c\t½ \x1b[31m"


def assert_report_writer(writer: ReportWriter, *, escapes: bool = False) -> None:
    """Assert that a report writer can write whatever it is given.

    It gets no report, one of a clean show, one of a show whose igniters do not light, all of them
    at once, and one with titles and messages that hold markup, quotes and control characters.
    The same reports must give the same output.

    Parameters
    ----------
    writer : ReportWriter
        The writer to be tried.
    escapes : bool
        Also demand that no control character but line ends and tabs is in its output, and no
        markup of the document's; set it for HTML and for what goes to a terminal.

    Raises
    ------
    AssertionError
        With what is wrong.

    Examples
    --------
    >>> assert_report_writer(ReportWriter("titles", lambda c: "".join(r.title for r in c.reports)))
    """
    __tracebackhide__ = True
    clean, bad = _reports()
    finding = Finding("XZZ999", _AWKWARD, Severity.ERROR, subjects=(_AWKWARD,), remedy=_AWKWARD)
    placed = evolve(finding, location=Location(_AWKWARD, 1, 1, _AWKWARD))
    awkward = evolve(bad, title=_AWKWARD, file=_AWKWARD, findings=(placed, finding))
    for name, reports in {
        "no report": (),
        "a clean show": (clean,),
        "a show that fails": (bad,),
        "three shows": (clean, bad, awkward),
        "awkward texts": (awkward,),
    }.items():
        written = _written(writer, reports, name)
        if written != _written(writer, reports, name):
            fail(f"report writer {writer.name!r} gives two outputs for the same reports ({name})")
        if escapes and name == "awkward texts":
            raw = [c for c in written.decode("utf-8", "replace") if c < " " and c not in "\n\r\t"]
            if raw or b"<b>" in written:
                fail(f"report writer {writer.name!r} lets markup or control characters through")


def _written(writer: ReportWriter, reports: Iterable[Report], name: str) -> bytes:
    __tracebackhide__ = True
    context = ReportContext(tuple(reports), CAUTIONS, __version__)
    try:
        written = guarded_writer(_TESTED, writer).write(context)
    except InputError as error:
        fail(f"report writer {writer.name!r} on {name}:", [f.message for f in error.findings])
    return written.encode("utf-8") if isinstance(written, str) else written


def _reports() -> tuple[Report, Report]:
    """One report of a show that lights, one of a show that does not."""
    with tempfile.TemporaryDirectory() as folder:
        clean = check(small_show(folder, igniters=2))
        bad = check(
            small_show(folder, igniter="generic:clip-on-long", length_m=100.0, pulse_s=0.05)
        )
    return clean, bad
