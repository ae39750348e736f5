"""The formats in which ``bridgewire check`` writes, by name; each is imported when asked for.

Nothing heavy is imported here: the help of the command lists the names.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from bridgewire.report.run import CheckedRun

Write: TypeAlias = "Callable[[CheckedRun], str]"
"""Makes the whole output of a run as text; files are written by whoever called it."""

TEXT = "text"
"""For people at a terminal; it is written by the command, which knows the terminal."""


def _json(run: CheckedRun) -> str:
    from bridgewire.report.json_report import reports_json

    return reports_json(run.reports, run.version, run.comparisons, run.unusable, run.remedies)


def _html(run: CheckedRun) -> str:
    from bridgewire.report.html.page import html_page

    unusable = [(file, len(findings)) for file, findings in run.unusable]
    return html_page(run.reports, run.version, unusable=unusable, remedies=run.remedies)


def _sarif(run: CheckedRun) -> str:
    from bridgewire.report.sarif import sarif_text

    return sarif_text(run)


def _junit(run: CheckedRun) -> str:
    from bridgewire.report.junit import junit_text

    return junit_text(run)


def _annotations(run: CheckedRun) -> str:
    from bridgewire.report.annotations import annotations_text

    return annotations_text(run)


def _code_quality(run: CheckedRun) -> str:
    from bridgewire.report.code_quality import code_quality_text

    return code_quality_text(run)


def _json_lines(run: CheckedRun) -> str:
    from bridgewire.report.json_lines import json_lines_text

    return json_lines_text(run)


WRITERS: Mapping[str, Write] = {
    "json": _json,
    "html": _html,
    "sarif": _sarif,
    "junit": _junit,
    "github-annotations": _annotations,
    "gitlab-code-quality": _code_quality,
    "json-lines": _json_lines,
}
"""Name -> what writes it."""

OWN_FORMATS = (TEXT, *WRITERS)
"""Every format that is bridgewire's own; a plugin's writer takes none of these names."""
COMPARED = (TEXT, "json")
"""Formats that can hold a show beside other kit (``--kit``, ``--swap``)."""
