"""The table of findings: what counts, worst first, then what does not."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeVar

from attrs import frozen

from bridgewire.diagnostics import Finding, Location, format_path
from bridgewire.report.contents import Checked
from bridgewire.report.tables.columns import (
    Definition,
    infinite,
    names,
    number,
    text,
    whole,
    yes_no,
)

T = TypeVar("T")


@frozen
class _Row:
    finding: Finding
    ignored: bool = False
    known: bool = False
    reason: str | None = None


def _rows(report: Checked) -> Iterator[_Row]:
    yield from (_Row(f) for f in report.findings)
    for i in report.ignored:
        yield _Row(i.finding, ignored=True, known=i.baseline, reason=i.reason)


def _place(value: Callable[[Location], T]) -> Callable[[_Row], T | None]:
    return lambda r: None if r.finding.location is None else value(r.finding.location)


FINDINGS: Definition[_Row] = Definition(
    _rows,
    (
        text("code", "code of the rule", lambda r: r.finding.code),
        text("severity", "error, warning or info", lambda r: r.finding.severity.word),
        yes_no("ignored", "it does not count", lambda r: r.ignored),
        yes_no("known", "it does not count, for a baseline knows it", lambda r: r.known),
        text("reason", "why it does not count", lambda r: r.reason),
        text("message", "what was found", lambda r: r.finding.message),
        text("remedy", "what to do", lambda r: r.finding.remedy),
        text("subjects", "ids that it is about", lambda r: names(r.finding.subjects)),
        text("document", "show, or kit:ID", lambda r: r.finding.document),
        text("path", "document path", lambda r: format_path(r.finding.path)),
        text("file", "file that it stands in", _place(lambda at: at.file)),
        whole("line", "line, from 1", _place(lambda at: at.line)),
        whole("column", "column, from 1", _place(lambda at: at.column)),
        number("measured", "what was computed, in `unit`", lambda r: r.finding.measured),
        yes_no("measured_infinite", "it is infinite", lambda r: infinite(r.finding.measured)),
        number("limit", "what it should keep to, in `unit`", lambda r: r.finding.limit),
        yes_no("limit_infinite", "it is infinite", lambda r: infinite(r.finding.limit)),
        text("unit", "unit of the two", lambda r: r.finding.unit),
    ),
)
"""One row for each finding, ignored and known ones last."""
