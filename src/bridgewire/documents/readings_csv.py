"""Reads a CSV file of meter readings."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TypeAlias

from attrs import evolve

from bridgewire.documents.csv_text import Cell, split_rows
from bridgewire.documents.limits import MAX_FINDINGS
from bridgewire.documents.problems import (
    CUE_LIST,
    Problem,
    all_of,
    as_findings,
    closest,
    name_meant,
    one_of,
    quoted,
    shown,
)
from bridgewire.documents.source import SourceMap, SpanTable
from bridgewire.documents.text import RefusedError, SourceText, read_text
from bridgewire.errors import InputError
from bridgewire.model.readings import Moment, Reading, Readings

PROBLEM = "REC001"
DOCUMENT = "readings"
REQUIRED = ("circuit", "place", "reading_ohm")
OPTIONAL = ("moment", "lead_ohm", "remark")
IGNORED = ("low_ohm", "high_ohm")
"""Columns of the template that only a person reads."""
OPEN_WORDS = frozenset(("open", "ol", "o.l", "o.l.", "over", "over-range", "overrange"))
MOST_OHM = 1e8
"""No meter for igniters reads more; a larger number is a slip of the pen."""
MOST_LEAD_OHM = 50.0
_NUMBER = re.compile(r"[+-]?(\d+([.]\d*)?|[.]\d+)(e[+-]?\d{1,3})?", re.I | re.A)

Way: TypeAlias = tuple[str, int, int]


def read_readings(file: str | Path, places: Mapping[Way, Sequence[str]]) -> Readings:
    """Read a file of readings.

    Parameters
    ----------
    file : path
        UTF-8, with or without a byte order mark. Cells are parted by ``;``, ``,`` or a tab, as the
        heading line does; a decimal comma is understood where cells are not parted by commas.
    places : mapping of way to sequence of str
        For each circuit where it can be measured: ``box`` and ids of strips.

    Returns
    -------
    Readings

    Raises
    ------
    InputError
        With every problem found, each with its line and column.
    """
    path = Path(file)
    try:
        source = read_text(path)
    except RefusedError as error:
        spans = SourceMap(str(file), error.text, lambda: SpanTable({}, {}))
        raise InputError(as_findings([error.problem], spans, DOCUMENT)) from None
    table = _Table(source, places)
    table.read()
    if table.problems:
        raise InputError(as_findings(table.problems, table.spans, DOCUMENT))
    return Readings(str(file), source.sha256, tuple(table.rows))


def delimiter_of(text: str) -> str:
    """What parts the cells of the heading line: ``;``, a tab or a comma.

    >>> delimiter_of("circuit;place;reading_ohm"), delimiter_of("circuit,place")
    (';', ',')
    """
    heading = next((line for line in text.splitlines() if line.strip()), "")
    plain = re.sub(r'"[^"]*"', "", heading)
    return max(";\t,", key=plain.count) if any(c in plain for c in ";\t,") else ","


class _Table:
    def __init__(self, source: SourceText, places: Mapping[Way, Sequence[str]]) -> None:
        self.text = source.text
        self.places = places
        self.names = {f"{b}/{o}/{w}": (b, o, w) for b, o, w in places}
        self.spans = SourceMap(source.file, source.text, lambda: SpanTable({}, {}))
        self.delimiter = delimiter_of(source.text)
        self.problems: list[Problem] = []
        self.rows: list[Reading] = []
        self.seen: dict[tuple[Way, str, str], int] = {}

    def wrong(
        self,
        message: str,
        cell: Cell,
        *,
        expected: str = "",
        got: str = "",
        suggestion: str = "",
        remedy: str = "",
    ) -> None:
        self.problems.append(
            Problem(
                PROBLEM,
                message,
                expected=expected,
                got=got,
                suggestion=suggestion,
                remedy=remedy,
                span=cell.span,
            )
        )

    def read(self) -> None:
        rows, problems = split_rows(self.text, self.delimiter)
        self.problems += [evolve(p, code=PROBLEM) if p.code == CUE_LIST else p for p in problems]
        if not rows:
            self.wrong(
                "the file has no headings",
                Cell("", (0, 1)),
                expected=f"headings {all_of(REQUIRED)}",
            )
            return
        columns = self._columns(rows[0])
        for row in rows[1:]:
            self._row(row, columns, len(rows[0]))
            if len(self.problems) > MAX_FINDINGS:  # more are not shown, and guesses take their time
                break

    def _columns(self, headings: list[Cell]) -> dict[str, int]:
        known = (*REQUIRED, *OPTIONAL, *IGNORED)
        found: dict[str, int] = {}
        strange: list[Cell] = []
        for number, cell in enumerate(headings):
            name = cell.text.lower()
            if name in found:
                self.wrong(
                    f"there are two columns headed {quoted(cell.text)}",
                    cell,
                    expected="each heading once",
                )
            elif name in known:
                found[name] = number
            elif name:
                strange.append(cell)
        whole = Cell("", (headings[0].span[0], headings[-1].span[1]))
        missing = [name for name in REQUIRED if name not in found]
        for name in missing:
            self.wrong(
                f'the column "{name}" is missing',
                whole,
                expected=f"headings {all_of(REQUIRED)}",
                got=", ".join(c.text for c in headings)[:120],
                remedy="bridgewire readings SHOW --template writes a file to fill in",
            )
        of_another_sort = bool(missing) and len(strange) > len(found)
        for cell in () if of_another_sort else strange:
            self.wrong(
                f"there is no column {quoted(cell.text)} in a readings file",
                cell,
                expected=one_of(known),
                # "ohm" is no slip for low_ohm where reading_ohm is what lacks.
                suggestion=closest(cell.text, missing or known),
            )
        return found

    def _row(self, row: list[Cell], columns: Mapping[str, int], width: int) -> None:
        extra = next((c for c in row[width:] if c.text), None)
        if extra is not None:
            decimal = self.delimiter == "," and any(c.text.isdecimal() for c in row[width:])
            self.wrong(
                "the row has more cells than there are headings",
                extra,
                expected=f"{width} cells",
                got=f"{len(row)} cells",
                remedy="a decimal comma needs cells parted by semicolons" if decimal else "",
            )
            return
        before = len(self.problems)
        first = row[0]
        self._split_decimal(row, columns, width)

        def cell(name: str) -> Cell | None:
            number = columns.get(name)
            return row[number] if number is not None and number < len(row) else None

        way = self._circuit(cell("circuit"), first, "circuit" in columns)
        place = self._place(cell("place"), first, way, "place" in columns)
        moment = self._moment(cell("moment"))
        ohm, over = self._reading(cell("reading_ohm"))
        lead = self._lead(cell("lead_ohm"))
        remark = cell("remark")
        if len(self.problems) > before or way is None or place is None or moment is None:
            return
        at = cell("reading_ohm") or first
        key = (way, place, moment)
        line = self.spans.locate_span(first.span).line
        if key in self.seen:
            self.wrong(
                f"{quoted('/'.join(map(str, way)))} at {quoted(place)} {moment} firing is already "
                f"in line {self.seen[key]}",
                first,
                expected="one row for each circuit, place and moment",
            )
            return
        self.seen[key] = line
        text = "" if remark is None else remark.text
        where = self.spans.locate_span(at.span if at.text else first.span)
        self.rows.append(Reading(way, place, moment, ohm, over, lead, text, where))

    def _split_decimal(self, row: list[Cell], columns: Mapping[str, int], width: int) -> None:
        """Refuse ``2,5`` that commas between the cells have made a reading of 2 and leads of 5."""
        place = columns.get("reading_ohm", len(row))
        leads = columns.get("lead_ohm") == place + 1
        if self.delimiter != "," or len(row) < place + 2 or not (leads or len(row) > width):
            return
        reading, lead = row[place], row[place + 1]
        if reading.text.isdecimal() and lead.text.isdecimal() and lead.text.strip("0"):
            self.wrong(
                f"{reading.text},{lead.text} may be one reading with a decimal comma, or a reading "
                "and another cell",
                reading,
                expected="numbers with a decimal point in both cells",
                got=f"{shown(reading.text)} and {shown(lead.text)}",
                remedy=f"write {reading.text}.{lead.text}, or {reading.text}.0 and then "
                f"{lead.text}.0; or part the cells by semicolons",
            )

    def _circuit(self, cell: Cell | None, first: Cell, wanted: bool) -> Way | None:
        if not wanted:
            return None
        text = "" if cell is None else cell.text
        for name in (text, _without_guards(text), _plain_numbers(text)):
            if name in self.names:
                return self.names[name]
        if not text:
            self.wrong(
                "the row names no circuit",
                first,
                expected="box/output/way",
            )
            return None
        self.wrong(
            f"there is no circuit {quoted(text)} with igniters in this show",
            cell or first,
            expected="box/output/way of a circuit with igniters",
            got=shown(text),
            suggestion=name_meant(text, list(self.names)),
        )
        return None

    def _place(self, cell: Cell | None, first: Cell, way: Way | None, wanted: bool) -> str | None:
        if not wanted or way is None:
            return None
        text = "" if cell is None else cell.text
        choices = self.places[way]
        for name in (text, _without_guards(text), text.lower() if text.lower() == "box" else text):
            if name in choices:
                return name
        self.wrong(
            f"{quoted('/'.join(map(str, way)))} cannot be measured at {quoted(text)}"
            if text
            else "the row names no place",
            cell if cell is not None and text else first,
            expected=one_of(choices),
            got=shown(text) if text else "nothing",
            suggestion=name_meant(text, choices),
        )
        return None

    def _moment(self, cell: Cell | None) -> Moment | None:
        text = "" if cell is None else cell.text.lower()
        if text in ("", "before"):
            return "before"
        if text == "after":
            return "after"
        assert cell is not None
        self.wrong(
            f"{quoted(cell.text)} is no moment",
            cell,
            expected='"before" or "after"',
            got=shown(cell.text),
            suggestion=closest(text, ["before", "after"]),
        )
        return None

    def _reading(self, cell: Cell | None) -> tuple[float | None, bool]:
        if cell is None or not cell.text:
            return None, False
        if cell.text.lower() in OPEN_WORDS:
            return None, True
        return self._number(cell, "a reading", MOST_OHM, 'ohm, or "open"'), False

    def _lead(self, cell: Cell | None) -> float | None:
        if cell is None or not cell.text:
            return None
        return self._number(cell, "the resistance of meter leads", MOST_LEAD_OHM, "ohm")

    def _number(self, cell: Cell, noun: str, most: float, unit: str) -> float | None:
        text = cell.text
        comma = "," in text
        if comma and self.delimiter != "," and "." not in text:
            text = text.replace(",", ".", 1)
        if not _NUMBER.fullmatch(text):
            remedy = ""
            if comma and self.delimiter == ",":
                remedy = "write a decimal point, or part the cells by semicolons"
            self.wrong(
                f"{quoted(cell.text)} cannot be read as {noun}",
                cell,
                expected=f"a number in {unit}; blank where not measured",
                got=shown(cell.text),
                remedy=remedy,
            )
            return None
        value = float(text)
        if value < 0.0 or value > most:
            self.wrong(
                f"{noun} cannot be {cell.text[:40]}",
                cell,
                expected=f"0 to {most:,.0f} {unit}",
                got=shown(cell.text),
            )
            return None
        return abs(value)


def _without_guards(text: str) -> str:
    """Take out the apostrophes that our template puts before what would be a formula.

    >>> _without_guards("'=1;'+2")
    '=1;+2'
    """
    return re.sub(r"(^|[;,])'", r"\1", text)


def _plain_numbers(text: str) -> str:
    """Output and way without leading zeros or spaces round them."""
    pieces = [p.strip() for p in text.split("/")]
    if len(pieces) != 3 or not all(
        p.isdecimal() and p.isascii() and len(p) < 9 for p in pieces[1:]
    ):
        return text
    return f"{pieces[0]}/{int(pieces[1])}/{int(pieces[2])}"
