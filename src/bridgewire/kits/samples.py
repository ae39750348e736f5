"""Samples beside a kit profile: what is known of its values together.

A band says how far one value may be off. Values that were learned from the same trials are not
independent: a supply a little stronger and igniters a little slower explain the same light times.
A CSV file beside the profile holds rows of values that go together.

Columns: ``table/id/key``, as in ``igniter_class/clip-on-short/tau_s``, in the unit that the key
names; and ``table/id/key/scatter_pct``: how widely single igniters, cables or contacts scatter
about that, standard deviation in per cent.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import TypeAlias

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from bridgewire.documents.problems import DANGLING, OUT_OF_RANGE, UNREADABLE, Problem, quoted, shown
from bridgewire.documents.text import RefusedError, file_inside, read_text
from bridgewire.kits.profile_source import TABLES
from bridgewire.model.kit import Kit

Floats = NDArray[np.float64]
Column: TypeAlias = tuple[str, str, str]
"""Table, id and key of a value."""

SCATTER = "scatter_pct"
LEAST_ROWS = 50
MOST_ROWS = 20_000
MOST_COLUMNS = 500


@frozen(eq=False)
class JointSamples:
    """Values of a kit that were learned together.

    Attributes
    ----------
    columns : tuple of tuple of str
        Table, id and key of each value.
    values : array, shape (rows, columns)
    scatter_pct : array, shape (rows, columns)
        0 where nothing is said.
    file, sha256 : str
    """

    columns: tuple[Column, ...]
    values: Floats
    scatter_pct: Floats
    file: str
    sha256: str

    def correlation(self) -> Floats:
        """Correlation of the values' normal scores: that of a normal copula.

        Returns
        -------
        array, shape (columns, columns)
        """
        from bridgewire.kits.normal_scores import normal_scores

        scores = normal_scores(self.values)
        flat = scores.std(axis=0) < 1e-12
        scores[:, flat] = 0.0
        found = scores.T @ scores / scores.shape[0]
        size = np.sqrt(np.maximum(np.diag(found), 1e-300))
        found = np.where(np.outer(flat, flat) | flat[:, None] | flat, 0.0, found)
        found = found / np.outer(np.where(flat, 1.0, size), np.where(flat, 1.0, size))
        np.fill_diagonal(found, 1.0)
        return np.asarray(found, dtype=np.float64)

    def share(self, column: int) -> float:
        """Part of a single one's variance that is common to all."""
        typical = np.log(self.values[:, column])
        own = self.scatter_pct[:, column] / 100.0
        common, single = float(typical.var()), float((own * own).mean())
        return 1.0 if common + single <= 0.0 else common / (common + single)


def read_samples(kit: Kit, profile: Path) -> tuple[JointSamples | None, tuple[Problem, ...]]:
    """Read the samples that a kit profile names.

    Parameters
    ----------
    kit : Kit
        Its `samples` names a file inside the profile's folder.
    profile : Path
        The profile's own file.

    Returns
    -------
    JointSamples or None
        None where anything is wrong.
    tuple of Problem
        To be placed in the profile.
    """
    name = kit.samples or ""
    path = file_inside(name, profile.parent)
    if path is None:
        problem = Problem(
            UNREADABLE,
            "the samples are not inside the profile's folder",
            ("samples",),
            expected="a file name, relative to the profile",
            got=shown(name),
        )
        return None, (problem,)
    try:
        source = read_text(path)
    except RefusedError as error:
        message = f"the samples cannot be read: {error.problem.message}"
        return None, (Problem(UNREADABLE, message, ("samples",), got=shown(name)),)
    try:
        return _parsed(source.text, kit, str(path), source.sha256), ()
    except _BadError as error:
        return None, (Problem(error.code, error.message, ("samples",), got=error.got),)


class _BadError(Exception):
    def __init__(self, message: str, got: str = "", code: str = OUT_OF_RANGE) -> None:
        self.message, self.got, self.code = message, got, code
        super().__init__(message)


def _parsed(text: str, kit: Kit, file: str, digest: str) -> JointSamples:
    rows = _rows(text)
    headings = [h.strip() for h in rows[0]]
    values_at, scatter_at = _columns(headings, kit)
    numbers = _numbers(rows[1:], len(headings))
    values = numbers[:, list(values_at.values())]
    spread = np.zeros_like(values)
    for n, column in enumerate(values_at):
        if column in scatter_at:
            spread[:, n] = numbers[:, scatter_at[column]]
    finite = np.isfinite(values).all() and np.isfinite(spread).all()
    if not finite or (values <= 0.0).any():
        raise _BadError("a value of the samples is not above 0, or is not finite")
    if (spread < 0.0).any():
        raise _BadError(f"a {SCATTER} of the samples is below 0")
    return JointSamples(tuple(values_at), values, spread, file, digest)


def _rows(text: str) -> list[list[str]]:
    """Split the text; refuse what has too few or too many rows or columns."""
    try:
        rows = [r for r in csv.reader(io.StringIO(text, newline="")) if r]
    except csv.Error as error:
        raise _BadError(f"the samples are not CSV: {error}") from None
    if not rows:
        raise _BadError("the samples have no headings")
    if len(rows[0]) > MOST_COLUMNS:
        raise _BadError(
            f"the samples may have at most {MOST_COLUMNS} columns", f"{len(rows[0])} columns"
        )
    if not LEAST_ROWS <= len(rows) - 1 <= MOST_ROWS:
        raise _BadError(
            f"the samples need {LEAST_ROWS} to {MOST_ROWS:,} rows", f"{len(rows) - 1} rows"
        )
    return rows


def _columns(headings: Sequence[str], kit: Kit) -> tuple[dict[Column, int], dict[Column, int]]:
    """Find which column holds which value of the kit, and which holds its scatter."""
    if len(set(headings)) != len(headings):
        raise _BadError("the samples have two columns of one heading")
    values: dict[Column, int] = {}
    scatter: dict[Column, int] = {}
    for k, heading in enumerate(headings):
        parts = heading.split("/")
        if len(parts) == 4 and parts[3] == SCATTER:
            scatter[parts[0], parts[1], parts[2]] = k
        elif len(parts) == 3:
            values[parts[0], parts[1], parts[2]] = k
        else:
            raise _BadError("a heading of the samples is not table/id/key", quoted(heading))
    for table, ident, key in (*values, *scatter):
        entries = getattr(kit, table) if table in TABLES else ()
        if not any(e.id == ident for e in entries):
            raise _BadError(
                "the samples name an entry that the kit does not have",
                quoted(f"{table}/{ident}/{key}"),
                DANGLING,
            )
    return values, scatter


def _numbers(rows: Sequence[Sequence[str]], width: int) -> Floats:
    numbers = np.empty((len(rows), width))
    for n, row in enumerate(rows):
        if len(row) != width:
            raise _BadError(f"row {n + 2} of the samples has {len(row)} cells for {width} headings")
        for k, cell in enumerate(row):
            try:
                numbers[n, k] = float(cell)
            except ValueError:
                message = f"row {n + 2} of the samples holds what is no number"
                raise _BadError(message, quoted(cell)) from None
    return numbers
