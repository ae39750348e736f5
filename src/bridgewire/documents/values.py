"""Readers of single values: numbers, texts, dates, choices and bands, each held to its range.

No value is turned into another type: a text is no number, ``true`` is not 1. A whole number is fine
where a number is expected.
"""

from __future__ import annotations

import datetime
import math
import re
import sys
from collections.abc import Callable
from typing import Any, TypeAlias

from bridgewire.diagnostics import DocPath
from bridgewire.documents import bands
from bridgewire.documents.problems import (
    OUT_OF_RANGE,
    WRONG_TYPE,
    Problem,
    closest,
    one_of,
    quoted,
    shown,
)
from bridgewire.documents.ranges import Range

Problems: TypeAlias = list[Problem]
Reader: TypeAlias = Callable[[Any, DocPath, Problems], Any]
"""Reads the value at a path; where it is wrong, adds a problem and returns `INVALID`."""


class _Invalid:
    """Stands for a value that could not be read."""


INVALID = _Invalid()
DATE_WORDS = "a date: year-month-day, such as 2026-12-31"
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_DAY_FIRST = re.compile(r"([0-9]{1,2})[./]\s?([0-9]{1,2})[./]\s?([0-9]{4})")
_BIGGEST = sys.float_info.max
_TRUTHS = {"yes": "true", "on": "true", "true": "true"} | dict.fromkeys(
    ("no", "off", "false"), "false"
)


def wrong_type(value: Any, path: DocPath, problems: Problems, expected: str) -> Any:
    """Report a value of another type than expected; return `INVALID`."""
    problems.append(
        Problem(
            WRONG_TYPE,
            f"this is {shown(value)}, not {expected.partition(':')[0]}",
            path=path,
            expected=expected,
            got=shown(value),
            suggestion=_what_was_meant(value, expected),
        )
    )
    return INVALID


def _what_was_meant(value: Any, expected: str) -> str:
    if expected == "a list of tables" and isinstance(value, dict):
        return "put it in brackets: […]; a heading in TOML gets two: [[…]]"
    if expected.startswith("a list") and isinstance(value, (str, dict)):
        return f"put it in brackets: [{quoted(value) if isinstance(value, str) else '…'}]"
    if expected == "a text" and isinstance(value, (int, float)):
        return "put it in quotes"
    if expected == "a whole number" and isinstance(value, float) and value.is_integer():
        return f"{value:.0f}" if abs(value) < 1e15 else ""
    if expected == DATE_WORDS and isinstance(value, str):
        return day_meant(value)
    if expected == "true or false" and isinstance(value, str):
        return _TRUTHS.get(value.strip().lower(), "")
    return ""


def day_meant(text: str) -> str:
    """Write a day that is written day first as TOML wants it; empty where that cannot be told.

    >>> day_meant("31.12.2026"), day_meant("12/31/2026")
    ('2026-12-31', '')
    """
    found = _DAY_FIRST.fullmatch(text.strip())
    if found is None:
        return ""
    try:
        return datetime.date(int(found[3]), int(found[2]), int(found[1])).isoformat()
    except ValueError:
        return ""


def band_reader(within: Range) -> Reader:
    """Make a reader of bands whose ends lie in a range."""

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        found = bands.read_band(value, path, problems, within)
        return INVALID if found is None else found

    return read


def number_reader(within: Range, expected: str) -> Reader:
    """Make a reader of numbers; `expected` says in words what such a number is."""

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        found = bands.number(value, path, problems, expected)
        if found is None:
            return INVALID
        return found if within.accepts(found) else _out_of_range(found, path, problems, within)

    return read


def whole_reader(within: Range) -> Reader:
    """Make a reader of whole numbers."""

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if isinstance(value, bool) or not isinstance(value, int):
            return wrong_type(value, path, problems, "a whole number")
        return value if within.accepts(value) else _out_of_range(value, path, problems, within)

    return read


def _out_of_range(value: float, path: DocPath, problems: Problems, within: Range) -> Any:
    problems.append(bands.out_of_range(value, path, within))
    return INVALID


def read_truth(value: Any, path: DocPath, problems: Problems) -> Any:
    """Read true or false."""
    return value if isinstance(value, bool) else wrong_type(value, path, problems, "true or false")


def read_date(value: Any, path: DocPath, problems: Problems) -> Any:
    """Read a day of the calendar: TOML has dates, YAML and JSON write them as texts."""
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value
    if not isinstance(value, str) or not _DATE.fullmatch(value):
        return wrong_type(value, path, problems, DATE_WORDS)
    try:
        return datetime.date.fromisoformat(value)
    except ValueError:
        problems.append(
            Problem(
                OUT_OF_RANGE,
                f"there is no day {value} in the calendar",
                path=path,
                expected=DATE_WORDS,
                got=shown(value),
            )
        )
        return INVALID


def read_option(value: Any, path: DocPath, problems: Problems) -> Any:
    """Read an option of a cue importer: a text, a finite number, or true or false."""
    if isinstance(value, float) and not math.isfinite(value):
        return _out_of_range(value, path, problems, Range(-_BIGGEST, _BIGGEST))
    if isinstance(value, (str, int, float)):
        return value
    return wrong_type(value, path, problems, "a text, a number, or true or false")


def text_reader(pattern: tuple[str, str] | None) -> Reader:
    """Make a reader of texts; the pattern is an expression and what it asks for, in words."""
    expression = re.compile(pattern[0]) if pattern else None

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, str):
            return wrong_type(value, path, problems, "a text")
        if expression is None or pattern is None or expression.fullmatch(value):
            return value
        problems.append(
            Problem(
                OUT_OF_RANGE,
                f"{shown(value)} cannot be used here",
                path=path,
                expected=pattern[1],
                got=shown(value),
            )
        )
        return INVALID

    return read


def choice_reader(choices: tuple[str, ...]) -> Reader:
    """Make a reader of texts of which there are only some."""

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, str):
            return wrong_type(value, path, problems, one_of(choices))
        if value in choices:
            return value
        problems.append(
            Problem(
                OUT_OF_RANGE,
                f"{shown(value)} is not one of the choices",
                path=path,
                expected=one_of(choices),
                got=shown(value),
                suggestion=closest(value, choices),
            )
        )
        return INVALID

    return read
