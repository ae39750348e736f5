"""Go/no-go trials from a CSV file, every problem with its place."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from attrs import frozen

from bridgewire.bench.sensitivity.trial_table import TrialTable
from bridgewire.bench.sensitivity.trials import Trials
from bridgewire.diagnostics import Finding, Location
from bridgewire.documents.problems import (
    as_findings,
)
from bridgewire.documents.source import SourceMap, SpanTable
from bridgewire.documents.text import RefusedError, read_text
from bridgewire.errors import InputError

SHOWN_UNITS = {"mJ_per_ohm": "mJ/Ω", "C": "°C"}
"""How a unit is written for people where it differs from the heading."""


@frozen(eq=False)
class TrialFile:
    """A file of trials as read."""

    file: str
    sha256: str
    unit: str
    """As in the heading."""
    trials: Trials

    @property
    def shown_unit(self) -> str:
        """The unit as people write it."""
        return SHOWN_UNITS.get(self.unit, self.unit)


def read_trial_files(
    files: Sequence[str], *, positive: bool = False, in_order: bool = False
) -> tuple[TrialFile, ...]:
    """Read files of trials.

    The first line holds the headings: ``level_<unit>`` and ``result``, one row for each shot in
    the order made; or ``level_<unit>``, ``tried`` and ``lit``, one row for each level. Columns
    ``shot`` and ``note`` may be there too. Cells are delimited by commas, semicolons or tabs; with
    the latter two a number may have a decimal comma.

    Parameters
    ----------
    files : sequence of str
    positive : bool
        Demand levels above 0, as a logarithmic scale does.
    in_order : bool
        Demand single shots.

    Returns
    -------
    tuple of TrialFile

    Raises
    ------
    InputError
        With every problem of every file.
    """
    found: list[TrialFile] = []
    findings: list[Finding] = []
    for file in files:
        read = _read(file, positive, in_order)
        if isinstance(read, TrialFile):
            found.append(read)
        else:
            findings += read
    if findings:
        raise InputError(tuple(findings))
    return tuple(found)


def _read(file: str, positive: bool, in_order: bool) -> TrialFile | tuple[Finding, ...]:
    try:
        source = read_text(Path(file))
    except RefusedError as error:
        if error.problem.span is None:
            place = Location(file, 1, 1)
            p = error.problem
            return (
                Finding(
                    p.code,
                    p.message,
                    document="trials",
                    expected=p.expected,
                    got=p.got,
                    remedy=p.remedy,
                    location=place,
                ),
            )
        spans = SourceMap(file, error.text, lambda: SpanTable({}, {}))
        return as_findings([error.problem], spans, "trials")
    table = TrialTable(source.text, positive, in_order)
    trials = table.read()
    if table.problems or trials is None:
        spans = SourceMap(file, source.text, lambda: SpanTable({}, {}))
        return as_findings(table.problems, spans, "trials")
    return TrialFile(file, source.sha256, table.unit, trials)
