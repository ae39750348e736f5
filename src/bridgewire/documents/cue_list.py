"""Reads a show's cue list from a file beside the show: CSV, or what a plugin's importer reads."""

from __future__ import annotations

import codecs
import contextlib
import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from attrs import frozen

from bridgewire.diagnostics import DocPath, Finding
from bridgewire.documents.csv_text import Cell, split_rows
from bridgewire.documents.cue_cells import COLUMNS
from bridgewire.documents.import_list import ImportedList, importer_of
from bridgewire.documents.imported import CueImporter
from bridgewire.documents.problems import (
    CUE_LIST,
    MISSING_KEY,
    UNKNOWN_KEY,
    Problem,
    as_findings,
    closest,
    name_meant,
    one_of,
    quoted,
    shown,
)
from bridgewire.documents.source import SourceMap, Span, SpanTable
from bridgewire.documents.structure import structure
from bridgewire.documents.text import RefusedError, file_inside, read_bytes
from bridgewire.model.show import Cue, CueList

_NOT_FOR_FILES = frozenset(
    ("idna", "punycode", "unicode-escape", "raw-unicode-escape", "undefined", "mbcs", "oem")
)


_UTF16 = (b"\xff\xfe", b"\xfe\xff")
_COMMA_REMEDY = "A decimal comma needs cells parted by semicolons, or in quotes."
_ENCODING = 'State the file\'s encoding in "cue_list.encoding"'
_OTHER_DELIMITERS = {";": '";"', "\t": '"\\t"', ",": '","'}
"""What cells may be parted by instead, as a show states it."""


@frozen
class ReadCueList:
    """The cues of a file, or what is wrong."""

    cues: tuple[Cue, ...] = ()
    spans: SourceMap | None = None
    file: str = ""
    sha256: str = ""
    show_problems: tuple[Problem, ...] = ()
    """To be placed in the show document."""
    findings: tuple[Finding, ...] = ()
    """Placed in the cue list's file."""


def read_cue_list(
    cue_list: CueList,
    show_file: Path,
    first_index: int,
    importers: Mapping[str, CueImporter] | None = None,
    show_title: str = "",
) -> ReadCueList:
    """Read the cues of a file.

    Parameters
    ----------
    cue_list : CueList
        Names the file (inside the show's folder), its columns, delimiter, decimal sign and
        encoding.
    show_file : Path
        The show document.
    first_index : int
        Index of the first cue of the list among the show's cues.
    importers : mapping of str to CueImporter, optional
        What can read files that are no CSV, by name.
    show_title : str
        For the importer.

    Returns
    -------
    ReadCueList
        Cues, places and problems.
    """
    importer, problems = importer_of(cue_list, importers or {})
    problems += _unknown_columns(cue_list)
    opened = _opened(cue_list, show_file.parent, problems)
    if opened is None:
        return ReadCueList(show_problems=tuple(problems))
    path, raw, codec = opened
    if cue_list.importer is not None and importer is None:
        return ReadCueList(show_problems=tuple(problems))
    text, bad = _decoded(raw, codec, cue_list.encoding)
    rows: _Table | ImportedList
    if importer is None:
        rows = _Table(cue_list, text, first_index)
        if bad is None:
            rows.read()
    else:
        rows = ImportedList(importer, text, first_index)
        # A file that is no text may still be one that the importer can read.
        if rows.read(str(path), raw, cue_list.encoding, show_title, cue_list.options):
            bad = None
    if bad is not None:
        rows.problems.append(bad)
    spans = SourceMap(str(path), text, lambda: SpanTable(rows.places, {}))
    found = as_findings(rows.problems, spans, "show") if rows.problems else ()
    failed = () if rows.failure is None else (rows.failure,)
    return ReadCueList(
        tuple(rows.cues),
        spans,
        str(path),
        hashlib.sha256(raw).hexdigest(),
        tuple(problems),
        (*found, *failed),
    )


def _opened(
    cue_list: CueList, folder: Path, problems: list[Problem]
) -> tuple[Path, bytes, str] | None:
    """Find and read the file; return its path, bytes and codec, or None, with a problem more."""
    path = file_inside(cue_list.file, folder)
    if path is None:
        problems.append(_outside(cue_list.file))
        return None
    codec = _codec(cue_list.encoding)
    if codec is None:
        problems.append(
            Problem(
                CUE_LIST,
                f"there is no text encoding {quoted(cue_list.encoding)}",
                path=("cue_list", "encoding"),
                expected='an encoding such as "utf-8", "latin-1" or "utf-16"',
                got=shown(cue_list.encoding),
            )
        )
        return None
    try:
        return path, read_bytes(path, CUE_LIST), codec
    except RefusedError as error:
        problems.append(
            Problem(
                CUE_LIST,
                f"the cue list cannot be read: {error.problem.message}",
                path=("cue_list", "file"),
                expected=error.problem.expected,
                got=shown(cue_list.file),
            )
        )
        return None


def _unknown_columns(cue_list: CueList) -> list[Problem]:
    return [
        Problem(
            UNKNOWN_KEY,
            f"a cue list has no column {key!r}",
            path=("cue_list", "columns", key),
            expected=one_of(list(COLUMNS)),
            got=f"{key!r}",
            suggestion=closest(key, list(COLUMNS)),
            at_key=True,
        )
        for key in cue_list.columns
        if key not in COLUMNS
    ]


def _outside(name: str) -> Problem:
    """Say that a file is not where a cue list may be."""
    where: DocPath = ("cue_list", "file")
    if not name.strip() or "\0" in name:
        return Problem(CUE_LIST, "the cue list has no file name", path=where, got=shown(name))
    return Problem(
        CUE_LIST,
        "the cue list is not inside the show's folder",
        path=where,
        expected="a path relative to the show, inside its folder",
        got=shown(name),
        remedy="Put the file beside the show.",
    )


def _codec(name: str) -> str | None:
    """Find a codec that text files are written in; None for any other."""
    try:
        info = codecs.lookup(name)
    except (LookupError, ValueError, UnicodeError):
        return None
    if not getattr(info, "_is_text_encoding", True) or info.name in _NOT_FOR_FILES:
        return None
    return "utf-8-sig" if info.name == "utf-8" else info.name


def _decoded(raw: bytes, codec: str, stated: str) -> tuple[str, Problem | None]:
    try:
        text = raw.decode(codec)
    except (UnicodeError, ValueError) as error:
        start = getattr(error, "start", 0)
        readable = ""
        with contextlib.suppress(UnicodeError):  # some codecs cannot pass over what is wrong
            readable = raw[:start].decode(codec, "ignore")
        place = len(readable)
        text = readable + raw[start:].decode("latin-1")
        return text, Problem(
            CUE_LIST,
            f"the cue list is not text in the encoding {quoted(stated)}",
            expected=f"text in {stated}",
            got=f"the byte 0x{raw[start]:02X}" if start < len(raw) else "",
            remedy=_ENCODING + (', such as "utf-16".' if raw.startswith(_UTF16) else "."),
            span=(place, place + 1),
        )
    zero = text.find("\0")
    if zero >= 0:
        return text, Problem(
            CUE_LIST,
            "the cue list holds a zero byte: it is not text in the encoding stated",
            expected=f"text in {stated}",
            got="a zero byte",
            span=(zero, zero + 1),
        )
    return text, None


class _Table:
    """The rows of one cue list and what comes of them."""

    failure: Finding | None = None

    def __init__(self, cue_list: CueList, text: str, first_index: int) -> None:
        self.cue_list = cue_list
        self.text = text
        self.next_index = first_index
        self.cues: list[Cue] = []
        self.problems: list[Problem] = []
        self.places: dict[DocPath, Span] = {}

    def read(self) -> None:
        """Read all rows."""
        rows, problems = split_rows(self.text, self.cue_list.delimiter)
        self.problems.extend(problems)
        if not rows:
            self.problems.append(Problem(CUE_LIST, "the cue list is empty", span=(0, 1)))
            return
        columns = None if self._other_delimiter(rows[0]) else self._columns(rows[0])
        if columns is None:
            return
        for row in rows[1:]:
            self._row(row, columns, len(rows[0]))

    def _other_delimiter(self, headings: list[Cell]) -> bool:
        """Tell, and report, whether the headings are parted by another delimiter than stated."""
        whole = headings[0]
        other = max(_OTHER_DELIMITERS, key=whole.text.count)
        if len(headings) > 1 or other not in whole.text or len(self.cue_list.columns) < 2:
            return False
        self.problems.append(
            Problem(
                CUE_LIST,
                f"the headings are not parted by {quoted(self.cue_list.delimiter)}",
                expected=f"cells with {quoted(self.cue_list.delimiter)} between",
                got=shown(whole.text),
                remedy=f"State delimiter = {_OTHER_DELIMITERS[other]} under [cue_list].",
                span=whole.span,
            )
        )
        return True

    def _columns(self, headings: list[Cell]) -> dict[int, str] | None:
        """Map column numbers to keys; None where a stated column is not there."""
        names = [cell.text for cell in headings]
        whole = (headings[0].span[0], headings[-1].span[1])
        found: dict[int, str] = {}
        complete = True
        for key, heading in self.cue_list.columns.items():
            if key not in COLUMNS:
                continue
            count = names.count(heading.strip())
            if count == 1:
                found[names.index(heading.strip())] = key
                continue
            complete = False
            how = "no column" if count == 0 else "more than one column"
            self.problems.append(
                Problem(
                    CUE_LIST,
                    f"there is {how} headed {quoted(heading)}",
                    path=("cue_list", "columns", key),
                    expected=f'one heading for "{key}"',
                    got=", ".join(names)[:120],
                    suggestion=name_meant(heading, names) if count == 0 else "",
                    span=whole,
                )
            )
        return found if complete else None

    def _row(self, row: list[Cell], columns: dict[int, str], width: int) -> None:
        index = self.next_index
        self.next_index += 1
        path: DocPath = ("cue", index)
        self.places[path] = (row[0].span[0], row[-1].span[1])
        raw: dict[str, Any] = {}
        before = len(self.problems)
        for number, cell in enumerate(row):
            key = columns.get(number)
            if key is not None and cell.text:
                self._cell(cell, key, path, raw)
            elif number >= width and cell.text:
                self.problems.append(
                    Problem(
                        CUE_LIST,
                        "the row has more cells than there are headings",
                        path=path,
                        expected=f"{width} cells",
                        got=f"{len(row)} cells",
                        remedy=self._comma_remedy(row[width - 1 :]),
                        span=cell.span,
                    )
                )
                break
        else:
            self._shifted(row, columns, width, path)
        bad_cells = len(self.problems) > before
        found: list[Problem] = []
        cue = structure(raw, Cue, found, path)
        # A cell that could not be read is there, if wrong: do not call its key missing too.
        self.problems.extend(p for p in found if not (bad_cells and p.code == MISSING_KEY))
        if cue is not None:
            self.cues.append(cue)

    def _shifted(self, row: list[Cell], columns: dict[int, str], width: int, path: DocPath) -> None:
        """Refuse ``12,5`` that has become two cells where blank ones at the end hide the shift."""
        if len(row) <= width or self.cue_list.delimiter != ",":
            return
        for number, key in sorted(columns.items()):
            cell, after = row[number].text, row[number + 1].text
            digits = after.isdecimal() and cell.replace(":", "").isdecimal()
            if digits and COLUMNS[key][1].has_decimals:
                self.problems.append(
                    Problem(
                        CUE_LIST,
                        f"more cells than there are headings: {cell},{after} may be one number",
                        path=path,
                        expected=f"{width} cells",
                        got=f"{len(row)} cells",
                        remedy=_COMMA_REMEDY,
                        span=row[number].span,
                    )
                )
                return

    def _cell(self, cell: Cell, key: str, path: DocPath, raw: dict[str, Any]) -> None:
        inner, kind = COLUMNS[key]
        text, decimal = cell.text, self.cue_list.decimal
        where = (*path, *inner)
        self.places[where] = cell.span
        try:
            if kind.has_decimals and decimal != ".":
                if "." in text:
                    raise ValueError(text)
                text = text.replace(decimal, ".")
            value = kind.read(text)
        except ValueError:
            self.problems.append(
                Problem(
                    CUE_LIST,
                    f'{quoted(cell.text)} cannot be read as "{key}"',
                    path=where,
                    expected=kind.expected
                    + (f" (decimal sign {quoted(decimal)})" if kind.has_decimals else ""),
                    got=shown(cell.text),
                    remedy=_decimal_remedy(cell.text, decimal) if kind.has_decimals else "",
                )
            )
            return
        target = raw
        for step in inner[:-1]:
            target = target.setdefault(str(step), {})
        target[str(inner[-1])] = value

    def _comma_remedy(self, cells: list[Cell]) -> str:
        """Say what to do where a decimal comma has made two cells of one number."""
        numbers = self.cue_list.delimiter == "," and all(
            c.text.isdecimal() for c in cells if c.text
        )
        return _COMMA_REMEDY if numbers else ""


def _decimal_remedy(text: str, stated: str) -> str:
    """Say what to do with a number that has the other decimal sign."""
    other = "," if stated == "." else "."
    if other not in text or not text.replace(other, "", 1).replace(":", "").isdecimal():
        return ""
    return f'State decimal = "{other}" under [cue_list], or write "{stated}" in the file.'
