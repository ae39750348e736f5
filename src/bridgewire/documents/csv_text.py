"""Delimited text to cells that know their place."""

from __future__ import annotations

import re

from attrs import frozen

from bridgewire.documents.limits import (
    MAX_TEXT,
    MAX_VALUES,
    too_long_message,
    too_many_message,
)
from bridgewire.documents.problems import CUE_LIST, TOO_LARGE, Problem
from bridgewire.documents.source import Span

_QUOTED = re.compile(r'"((?:[^"]|"")*+)"')
_LINE_END = re.compile(r"\r\n|\n|\r")


@frozen
class Cell:
    """One cell: its text, without quotes and outer spaces, and its place."""

    text: str
    span: Span


def split_rows(text: str, delimiter: str) -> tuple[list[list[Cell]], list[Problem]]:
    """Split delimited text into rows of cells; rows without any text are left out.

    A cell may be quoted with ``"``; within it, ``""`` stands for a quote, and the delimiter and
    line ends are plain text.

    Parameters
    ----------
    text : str
        The whole text, without a byte order mark.
    delimiter : str
        One character.

    Returns
    -------
    rows : list of list of Cell
    problems : list of Problem
        Quotes that do not close, and text after a closing quote.

    Examples
    --------
    >>> rows, _ = split_rows('a;"b;c"\\n1; 2', ";")
    >>> [[cell.text for cell in row] for row in rows]
    [['a', 'b;c'], ['1', '2']]
    """
    bare = re.compile(rf"[^{re.escape(delimiter)}\r\n]*+")
    rows: list[list[Cell]] = []
    problems: list[Problem] = []
    row: list[Cell] = []
    position = count = 0
    while position <= len(text):
        cell, position, problem = _cell(text, position, bare)
        if problem is not None:
            problems.append(problem)
        row.append(cell)
        count += 1
        if len(cell.text) > MAX_TEXT:
            problems.append(Problem(TOO_LARGE, too_long_message(), span=cell.span))
            break
        if count > MAX_VALUES:
            problems.append(Problem(TOO_LARGE, too_many_message(), span=cell.span))
            break
        if text.startswith(delimiter, position):
            position += 1
            continue
        if any(c.text for c in row):
            rows.append(row)
        row = []
        line_end = _LINE_END.match(text, position)
        if line_end is None:
            break
        position = line_end.end()
    return rows, problems


def _cell(text: str, position: int, bare: re.Pattern[str]) -> tuple[Cell, int, Problem | None]:
    start = position
    while start < len(text) and text[start] == " ":
        start += 1
    if not text.startswith('"', start):
        found = bare.match(text, position)
        end = found.end() if found else position
        word = text[position:end]
        start = position + len(word) - len(word.lstrip())
        return Cell(word.strip(), (start, max(start + 1, end))), end, None
    quoted = _QUOTED.match(text, start)
    if quoted is None:
        problem = Problem(
            CUE_LIST,
            "a quote is opened but never closed",
            expected='a closing "',
            got="the end of the file",
            span=(start, start + 1),
        )
        return Cell("", (start, start + 1)), len(text), problem
    rest = bare.match(text, quoted.end())
    end = rest.end() if rest else quoted.end()
    stray: Problem | None = None
    if text[quoted.end() : end].strip():
        stray = Problem(
            CUE_LIST,
            "there is text after a closing quote",
            expected="a delimiter or the end of the line",
            got=text[quoted.end() : end].strip()[:40],
            remedy='Write a quote within a quoted cell as "".',
            span=(quoted.end(), end),
        )
    word = quoted.group(1).replace('""', '"').strip()
    return Cell(word, (start, quoted.end())), end, stray
