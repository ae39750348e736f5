"""Reads the filled-in trial form of a bench record: CSV rows to trials, shots and what was seen.

A row is one igniter in one shot. It is added to the trial of the record that it names, so that
the record itself needs only wirings and trials.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from bridgewire.diagnostics import DocPath, Finding
from bridgewire.documents.bench_rows import FormRows
from bridgewire.documents.bench_wiring import PART_TABLES, tables_of
from bridgewire.documents.problems import UNREADABLE, Problem, as_findings, shown
from bridgewire.documents.source import SourceMap, SpanTable
from bridgewire.documents.text import RefusedError, file_inside, read_text
from bridgewire.model.bench import Results


@frozen
class ReadResults:
    """Plain data of a record with its results in it, and what is wrong."""

    data: dict[str, Any]
    spans: SourceMap | None = None
    file: str = ""
    sha256: str = ""
    problems: tuple[Problem, ...] = ()
    """To be placed in the record."""
    findings: tuple[Finding, ...] = ()
    """Placed in the CSV file."""


def read_results(results: Results, data: Mapping[str, Any], record_file: Path) -> ReadResults:
    """Add the rows of a filled-in form to a record.

    Parameters
    ----------
    results : Results
        Names the file, inside the record's folder; UTF-8.
    data : mapping
        Plain data of the record; not changed.
    record_file : Path

    Returns
    -------
    ReadResults
    """
    whole = copy.deepcopy(dict(data))
    path = file_inside(results.file, record_file.parent)
    where: DocPath = ("results", "file")
    if path is None:
        problem = Problem(
            UNREADABLE,
            "the results are not inside the record's folder",
            path=where,
            expected="a path relative to the record, inside its folder",
            got=shown(results.file),
            remedy="Put the file beside the record.",
        )
        return ReadResults(whole, problems=(problem,))
    try:
        source = read_text(path)
    except RefusedError as error:
        message = f"the results cannot be read: {error.problem.message}"
        problem = evolve(error.problem, message=message, path=where, span=None)
        return ReadResults(whole, problems=(problem,))
    if not _has_shape(whole):  # said where the record itself is checked
        return ReadResults(whole)
    rows = FormRows(results, whole)
    rows.read(source.text)
    spans = SourceMap(str(path), source.text, lambda: SpanTable(rows.places, {}))
    found = as_findings(rows.problems, spans, "bench")
    return ReadResults(whole, spans, str(path), source.sha256, (), found)


def _has_shape(data: Mapping[str, Any]) -> bool:
    """Whether lists of tables are that, and names are texts; only then can rows be added."""
    trials, benches = tables_of(data, "trial"), tables_of(data, "bench")
    if trials is None or benches is None:
        return False
    parts: list[dict[str, Any]] = [*trials, *benches]
    for owner in (*trials, *benches):
        for key in (*PART_TABLES, "shot"):
            found = tables_of(owner, key)
            if found is None:
                return False
            parts += found
    shots = [s for t in trials for s in tables_of(t, "shot") or ()]
    if any(tables_of(shot, "seen") is None for shot in shots):
        return False
    return all(isinstance(p.get(k, ""), str) for p in parts for k in ("id", "from", "to", "bench"))
