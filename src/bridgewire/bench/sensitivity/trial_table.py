"""The rows of a file of go/no-go trials, every problem with its place in the text."""

from __future__ import annotations

import math
import re

from attrs import evolve

from bridgewire.bench.sensitivity.trials import Trials, from_groups, from_shots
from bridgewire.documents.csv_text import Cell, split_rows
from bridgewire.documents.problems import (
    CUE_LIST,
    DUPLICATE_KEY,
    MISSING_KEY,
    OUT_OF_RANGE,
    SYNTAX,
    UNKNOWN_KEY,
    WRONG_TYPE,
    Problem,
    closest,
    quoted,
)
from bridgewire.documents.source import Span

UNITS = ("A", "mA", "V", "mV", "s", "ms", "J", "mJ", "W", "mJ_per_ohm", "mm", "kPa", "C")
"""Units that a heading ``level_<unit>`` may name."""
LIT = ("1", "lit", "yes", "y", "go")
UNLIT = ("0", "not", "no", "n", "not lit", "unlit", "no-go")
_OTHER = ("shot", "note")
"""Columns that are allowed and not used."""
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?")
_WHOLE = re.compile(r"\d{1,9}")
_LARGEST = 1e9
_SMALLEST = 1e-9


class TrialTable:
    """The rows of one file and what comes of them."""

    def __init__(self, text: str, positive: bool, in_order: bool) -> None:
        self.text = text
        self.positive = positive
        self.in_order = in_order
        self.problems: list[Problem] = []
        self.unit = ""
        first = text.lstrip("\r\n").split("\n", 1)[0]
        self.delimiter = max(",;\t", key=first.count)

    def read(self) -> Trials | None:
        """Trials, unless there are problems."""
        rows, problems = split_rows(self.text, self.delimiter)
        self.problems += [evolve(p, code=SYNTAX) if p.code == CUE_LIST else p for p in problems]
        if not rows:
            self._problem(SYNTAX, "the file has no headings", (0, 1))
            return None
        columns = self._columns(rows[0])
        if columns is None:
            return None
        whole = rows[0][0].span[0], rows[0][-1].span[1]
        if len(rows) == 1:
            self._problem(
                MISSING_KEY,
                "there is no shot under the headings",
                whole,
                remedy="The first shot of a sequence belongs in the middle of the guess.",
            )
            return None
        levels: list[float] = []
        first: list[int] = []
        second: list[int] = []
        for row in rows[1:]:
            cells = self._cells(row, columns, len(rows[0]))
            if cells is None:
                continue
            level = self._level(cells["level"])
            if "result" in columns:
                result = self._result(cells["result"])
                if level is not None and result is not None:
                    levels.append(level)
                    first.append(result)
                continue
            counts = self._counts(cells["tried"], cells["lit"])
            if level is not None and counts is not None:
                levels.append(level)
                first.append(counts[0])
                second.append(counts[1])
        if self.problems:
            return None
        if "result" in columns:
            return from_shots(levels, first)
        return from_groups(levels, first, second)

    def _problem(
        self,
        code: str,
        message: str,
        span: Span,
        expected: str = "",
        got: str = "",
        suggestion: str = "",
        remedy: str = "",
    ) -> None:
        self.problems.append(
            Problem(
                code,
                message,
                expected=expected,
                got=got,
                suggestion=suggestion,
                remedy=remedy,
                span=span,
            )
        )

    def _columns(self, headings: list[Cell]) -> dict[str, int] | None:
        before = len(self.problems)
        found: dict[str, int] = {}
        for number, cell in enumerate(headings):
            name = cell.text
            if name.startswith("level_"):
                self._unit(cell, name.removeprefix("level_"))
                name = "level"
            elif name == "level":
                self._problem(
                    MISSING_KEY,
                    'the heading "level" does not say its unit',
                    cell.span,
                    'a heading such as "level_A", "level_V" or "level_s"',
                    quoted(name),
                )
            elif name in _OTHER:
                continue
            elif name not in ("result", "tried", "lit"):
                self._problem(
                    UNKNOWN_KEY,
                    f"there is no column {quoted(name)} in a file of trials",
                    cell.span,
                    '"level_<unit>" with "result", or with "tried" and "lit"; "shot", "note"',
                    quoted(name),
                    suggestion=closest(name, ["result", "tried", "lit", "level_A", "note", "shot"]),
                )
                continue
            if name in found:
                self._problem(
                    DUPLICATE_KEY, f'there are two columns "{name}"', cell.span, "one", "two"
                )
                continue
            found[name] = number
        whole = headings[0].span[0], headings[-1].span[1]
        unknown = len(self.problems) > before
        if "level" not in found and not unknown:
            self._problem(MISSING_KEY, "there is no column of levels", whole, '"level_<unit>"')
        if "result" in found and ("tried" in found or "lit" in found):
            self._problem(
                SYNTAX,
                "the columns are those of single shots and of counts at once",
                whole,
                '"result", or "tried" and "lit"',
            )
        elif "result" not in found and not unknown and not {"tried", "lit"} <= found.keys():
            self._problem(
                MISSING_KEY,
                "there is no column of results",
                whole,
                '"result", or "tried" and "lit"',
            )
        if self.in_order and "result" not in found and "tried" in found:
            self._problem(
                SYNTAX,
                "this method needs every shot in the order it was made, not counts",
                whole,
                'a column "result", one row for each shot',
                '"tried" and "lit"',
            )
        return None if len(self.problems) > before else found

    def _unit(self, cell: Cell, unit: str) -> None:
        self.unit = unit
        if unit not in UNITS:
            self._problem(
                WRONG_TYPE,
                f"{quoted(unit)} is no unit that a level can have here",
                cell.span,
                ", ".join(UNITS),
                quoted(unit),
                suggestion=closest(unit, list(UNITS)),
            )

    def _cells(
        self, row: list[Cell], columns: dict[str, int], width: int
    ) -> dict[str, Cell] | None:
        whole = row[0].span[0], row[-1].span[1]
        beyond = next((c for c in row[width:] if c.text), None)
        if beyond is not None:
            self._problem(
                SYNTAX,
                "the row has more cells than there are headings",
                beyond.span,
                f"{width} cells",
                f"{len(row)} cells",
            )
            return None
        found: dict[str, Cell] = {}
        for name, number in columns.items():
            if number >= len(row) or not row[number].text:
                self._problem(
                    MISSING_KEY,
                    f'the row has nothing under "{name}"',
                    row[number].span if number < len(row) else whole,
                    "a value in every row; leave out a shot that was not made",
                    "an empty cell",
                )
                return None
            found[name] = row[number]
        return found

    def _level(self, cell: Cell) -> float | None:
        text = cell.text
        if self.delimiter != "," and text.count(",") == 1 and "." not in text:
            text = text.replace(",", ".")
        if not _NUMBER.fullmatch(text):
            self._problem(
                WRONG_TYPE, "the level is no number", cell.span, "a number", quoted(cell.text)
            )
            return None
        value = float(text)
        size = abs(value)
        if not math.isfinite(value) or size > _LARGEST or 0.0 < size < _SMALLEST:
            self._problem(
                OUT_OF_RANGE,
                "the level is out of range",
                cell.span,
                "0, or a size from 1e-9 to 1e9",
                quoted(cell.text),
            )
            return None
        if self.positive and value <= 0.0:
            self._problem(
                OUT_OF_RANGE,
                "a level on a logarithmic scale must be above 0",
                cell.span,
                "a level above 0",
                quoted(cell.text),
                remedy="Use --scale linear, or leave out the row and say so.",
            )
            return None
        return value

    def _result(self, cell: Cell) -> int | None:
        word = cell.text.casefold()
        if word in LIT:
            return 1
        if word in UNLIT:
            return 0
        self._problem(
            WRONG_TYPE,
            "the result is neither lit nor not lit",
            cell.span,
            "1, lit or yes; 0, not or no",
            quoted(cell.text),
            remedy="A shot whose result is not known is left out, and the note says why.",
        )
        return None

    def _counts(self, tried: Cell, lit: Cell) -> tuple[int, int] | None:
        bad = False
        for cell, name in ((tried, "tried"), (lit, "lit")):
            if not _WHOLE.fullmatch(cell.text):
                self._problem(
                    WRONG_TYPE,
                    f'"{name}" is no whole number',
                    cell.span,
                    "a whole number of shots",
                    quoted(cell.text),
                )
                bad = True
        if bad:
            return None
        n, k = int(tried.text), int(lit.text)
        if n < 1:
            self._problem(
                OUT_OF_RANGE, "nothing was tried in this row", tried.span, "1 or more", str(n)
            )
            return None
        if k > n:
            self._problem(
                OUT_OF_RANGE,
                "more lit than were tried",
                lit.span,
                f"0 to {n}",
                str(k),
            )
            return None
        return n, k
