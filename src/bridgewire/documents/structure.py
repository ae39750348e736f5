"""Plain data to model, strictly, with every problem reported at once.

No value is turned into another type (a text is no number, ``true`` is not 1; a whole number is
fine where a number is expected). Unions are told apart by ``kind`` before anything else is read.
cattrs is not used: its hooks stop at the first problem of a value and know no document paths.
"""

from __future__ import annotations

import datetime
import math
import re
import sys
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, TypeAlias, TypeVar, get_args, get_origin

import attrs

from bridgewire.diagnostics import DocPath
from bridgewire.documents import bands
from bridgewire.documents.conditions import CONDITIONS
from bridgewire.documents.fields import (
    Key,
    choices_of,
    is_table,
    item_of,
    keys_of,
    tagged,
)
from bridgewire.documents.limits import MAX_FINDINGS
from bridgewire.documents.problems import (
    MISSING_KEY,
    OUT_OF_RANGE,
    UNKNOWN_KEY,
    WRONG_TYPE,
    Problem,
    closest,
    one_of,
    shown,
)
from bridgewire.documents.ranges import ANY, RANGES, TEXT_PATTERNS, Range
from bridgewire.model.band import Band
from bridgewire.model.show import Option

T = TypeVar("T")
Problems: TypeAlias = list[Problem]
Reader: TypeAlias = Callable[[Any, DocPath, Problems], Any]


class _Invalid:
    """Stands for a value that could not be read."""


INVALID = _Invalid()
_BIGGEST = sys.float_info.max
_DATE = "a date: year-month-day, such as 2026-12-31"
_DATE_TEXT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
IGNORED_TOP_KEYS = frozenset(("$schema",))


def structure(
    data: Mapping[str, Any], cls: type[T], problems: Problems, path: DocPath = ()
) -> T | None:
    """Make a model object from plain data.

    Parameters
    ----------
    data : mapping
        A table as parsed.
    cls : type
        A frozen attrs class of the model.
    problems : list of Problem
        Every problem found is added here.
    path : DocPath
        Where the table stands in its document.

    Returns
    -------
    object or None
        None if anything in the table is wrong.

    Examples
    --------
    >>> from bridgewire.model.show import Position
    >>> structure({"id": "jetty", "at_m": [1, 2]}, Position, [])
    Position(id='jetty', at_m=(1.0, 2.0), title='')
    """
    reader: Reader = table_reader(cls)  # type: ignore[arg-type]
    found = reader(data, path, problems)
    return None if found is INVALID else found


@cache
def table_reader(cls: type) -> Reader:
    """Make the reader of one model class."""
    keys = keys_of(cls)
    readers = {k: _reader(key.shape, cls, key) for k, key in keys.items()}
    required = [k for k in keys.values() if k.required]
    condition = CONDITIONS.get(cls)
    names = list(keys)

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, dict):
            return _wrong(value, path, problems, "a table")
        before = len(problems)
        arguments: dict[str, Any] = {}
        given: dict[str, Any] = {}
        for name, raw in value.items():
            reader = readers.get(name)
            if reader is None:
                if path or name not in IGNORED_TOP_KEYS:
                    guess = len(problems) < MAX_FINDINGS  # guessing takes its time
                    problem = _unknown(name, (*path, name), names, value if guess else None)
                    problems.append(problem)
                    # A misspelt key is not called missing as well.
                    given.setdefault(problem.suggestion, INVALID)
                continue
            found = reader(raw, (*path, name), problems)
            given[name] = found
            if found is not INVALID:
                arguments[keys[name].attribute] = found
        for key in required:
            if key.key not in value and key.key not in given:
                problems.append(_missing(key, path, cls))
        if condition is not None:
            problems.extend(attrs.evolve(p, path=(*path, *p.path)) for p in condition(given))
        return cls(**arguments) if len(problems) == before else INVALID

    return read


def _unknown(
    name: str, path: DocPath, names: list[str], table: Mapping[str, Any] | None
) -> Problem:
    free = [] if table is None else [n for n in names if n not in table]
    guess = closest(name, free)
    return Problem(
        UNKNOWN_KEY,
        f"the key {name!r} is not known here",
        path=path,
        expected=one_of(free) if guess == "" and len(free) <= 8 else "a key that is known here",
        got=f"{name!r}",
        suggestion=guess,
        at_key=True,
    )


def _missing(key: Key, path: DocPath, cls: type) -> Problem:
    return Problem(
        MISSING_KEY,
        f'the key "{key.key}" is missing',
        path=path,
        expected=f'"{key.key}" = {_words(key.shape, _range(cls, key))}',
        got="no such key",
    )


def _range(cls: type, key: Key) -> Range:
    return RANGES.get((cls, key.attribute), ANY)


def _wrong(value: Any, path: DocPath, problems: Problems, expected: str) -> Any:
    suggestion = ""
    if expected.startswith("an array") and isinstance(value, (str, dict)):
        suggestion = "put it in brackets: […]"
    elif expected == "a string" and isinstance(value, (int, float)):
        suggestion = "put it in quotes"
    elif expected == "true or false" and isinstance(value, str):
        word = value.strip().lower()
        suggestion = {"yes": "true", "on": "true", "true": "true"}.get(word, "")
        suggestion = suggestion or {"no": "false", "off": "false", "false": "false"}.get(word, "")
    problems.append(
        Problem(
            WRONG_TYPE,
            f"this is {shown(value)}, not {expected}",
            path=path,
            expected=expected,
            got=shown(value),
            suggestion=suggestion,
        )
    )
    return INVALID


def _words(shape: Any, within: Range) -> str:
    """Say what a value of this type looks like."""
    choices = choices_of(shape)
    if choices is not None:
        return one_of(choices)
    if shape is Band:
        return bands.EXPECTED
    item = item_of(shape)
    if item is not None:
        kind = "tables" if is_table(item[0]) else "numbers" if item[0] is float else "strings"
        return f"an array of {kind}" if item[1] is None else f"an array of {item[1]} {kind}"
    plain = {int: "a whole number", float: "a number", str: "a string", bool: "true or false"}
    plain[datetime.date] = _DATE
    words = plain.get(shape, "a table")
    limits = within.words() if shape in (int, float) else ""
    return f"{words}, {limits}" if limits else words


def _reader(shape: Any, cls: type, key: Key) -> Reader:
    """Make the reader of one type."""
    within = _range(cls, key)
    choices = choices_of(shape)
    if choices is not None:
        return _choice_reader(choices)
    if shape is Band:
        return _band_reader(within)
    if shape is float:
        return _number_reader(within)
    if shape is int:
        return _whole_reader(within)
    if shape is bool:
        return _read_truth
    if shape is datetime.date:
        return _read_date
    if shape is str:
        return _text_reader(TEXT_PATTERNS.get((cls, key.attribute)))
    item = item_of(shape)
    if item is not None:
        array = _array_reader(_reader(item[0], cls, key), item[1], _words(shape, within))
        return _array_or_one_reader(array) if key.or_one else array
    kinds = tagged(shape)
    if kinds is not None:
        return _tagged_reader(kinds)
    if is_table(shape):
        return table_reader(shape)
    if shape == Option:
        return _read_option
    if get_origin(shape) is not None and issubclass(get_origin(shape), Mapping):
        return _mapping_reader(_reader(get_args(shape)[1], cls, key))
    raise TypeError(f"the model has a type that documents cannot hold: {shape!r}")


def _band_reader(within: Range) -> Reader:
    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        found = bands.read_band(value, path, problems, within)
        return INVALID if found is None else found

    return read


def _out_of_range(value: float, path: DocPath, problems: Problems, within: Range) -> Any:
    problems.append(
        Problem(
            OUT_OF_RANGE,
            f"{_short(value)} is out of range",
            path=path,
            expected=within.words(),
            got=_short(value),
        )
    )
    return INVALID


def _short(value: float) -> str:
    if isinstance(value, int):
        return str(value) if abs(value) < 10**20 else "a very large whole number"
    return f"{value:.6g}"


def _number_reader(within: Range) -> Reader:
    expected = _words(float, within)

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        found = bands.number(value, path, problems, expected)
        if found is None:
            return INVALID
        return found if within.accepts(found) else _out_of_range(found, path, problems, within)

    return read


def _whole_reader(within: Range) -> Reader:
    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if isinstance(value, bool) or not isinstance(value, int):
            return _wrong(value, path, problems, "a whole number")
        return value if within.accepts(value) else _out_of_range(value, path, problems, within)

    return read


def _read_truth(value: Any, path: DocPath, problems: Problems) -> Any:
    return value if isinstance(value, bool) else _wrong(value, path, problems, "true or false")


def _read_date(value: Any, path: DocPath, problems: Problems) -> Any:
    """A day of the calendar: TOML has dates, YAML and JSON write them as texts."""
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value
    if not isinstance(value, str) or not _DATE_TEXT.fullmatch(value):
        return _wrong(value, path, problems, _DATE)
    try:
        return datetime.date.fromisoformat(value)
    except ValueError:
        problems.append(
            Problem(
                OUT_OF_RANGE,
                f"there is no day {value} in the calendar",
                path=path,
                expected=_DATE,
                got=shown(value),
            )
        )
        return INVALID


def _read_option(value: Any, path: DocPath, problems: Problems) -> Any:
    if isinstance(value, float) and not math.isfinite(value):
        return _out_of_range(value, path, problems, Range(-_BIGGEST, _BIGGEST))
    if isinstance(value, (str, int, float)):
        return value
    return _wrong(value, path, problems, "a string, a number, or true or false")


def _text_reader(pattern: tuple[str, str] | None) -> Reader:
    expression = re.compile(pattern[0]) if pattern else None

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, str):
            return _wrong(value, path, problems, "a string")
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


def _choice_reader(choices: tuple[str, ...]) -> Reader:
    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, str):
            return _wrong(value, path, problems, one_of(choices))
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


def _array_reader(item: Reader, length: int | None, expected: str) -> Reader:
    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, list) or (length is not None and len(value) != length):
            return _wrong(value, path, problems, expected)
        found = [item(raw, (*path, i), problems) for i, raw in enumerate(value)]
        return INVALID if INVALID in found else tuple(found)

    return read


def _array_or_one_reader(array: Reader) -> Reader:
    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        return array([value] if isinstance(value, str) else value, path, problems)

    return read


def _mapping_reader(item: Reader) -> Reader:
    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, dict):
            return _wrong(value, path, problems, "a table")
        found = {k: item(raw, (*path, k), problems) for k, raw in value.items()}
        return INVALID if INVALID in found.values() else found

    return read


def _tagged_reader(kinds: Mapping[str, type]) -> Reader:
    choose = _choice_reader(tuple(kinds))
    readers = {kind: table_reader(cls) for kind, cls in kinds.items()}

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, dict):
            return _wrong(value, path, problems, "a table")
        if "kind" not in value:
            problems.append(
                Problem(
                    MISSING_KEY,
                    'the key "kind" is missing',
                    path=path,
                    expected=f'"kind" = {one_of(tuple(kinds))}',
                    got="no such key",
                )
            )
            return INVALID
        kind = choose(value["kind"], (*path, "kind"), problems)
        return INVALID if kind is INVALID else readers[kind](value, path, problems)

    return read
