"""Plain data to model, strictly, with every problem reported at once.

Readers are made from the type hints of the model's classes; those of single values are in
`values`. Unions are told apart by ``kind`` before anything else is read. cattrs is not used: its
hooks stop at the first problem of a value and know no document paths.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar, get_args, get_origin

import attrs

from bridgewire.diagnostics import DocPath
from bridgewire.documents import bands
from bridgewire.documents.conditions import CONDITIONS
from bridgewire.documents.fields import Key, choices_of, is_table, item_of, keys_of, tagged
from bridgewire.documents.formats import CURRENT
from bridgewire.documents.limits import MAX_FINDINGS
from bridgewire.documents.problems import MISSING_KEY, UNKNOWN_KEY, Problem, all_of, closest, one_of
from bridgewire.documents.ranges import ANY, RANGES, TEXT_PATTERNS, Range
from bridgewire.documents.values import (
    DATE_WORDS,
    INVALID,
    Problems,
    Reader,
    band_reader,
    choice_reader,
    number_reader,
    read_date,
    read_option,
    read_truth,
    text_reader,
    whole_reader,
    wrong_type,
)
from bridgewire.model.band import Band
from bridgewire.model.show import Option

T = TypeVar("T")

IGNORED_TOP_KEYS = frozenset(("$schema",))
_MOST_LISTED = 20
"""Most keys that are listed where none is like the unknown one."""
_MOST_HOMES = 4


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
        Where the table stands in its document; empty for a whole document.

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
    model: type = cls
    before = len(problems)
    found = table_reader(model)(data, path, problems)
    if path == () and len(problems) > before:
        homes = _homes(model)
        problems[before:] = [_with_home(p, homes) for p in problems[before:]]
    return None if found is INVALID else found


@cache
def table_reader(cls: type) -> Reader:
    """Make the reader of one model class."""
    keys = keys_of(cls)
    readers = {k: _reader(key.shape, cls, key) for k, key in keys.items()}
    required = [k for k in keys.values() if k.required]
    condition = CONDITIONS.get(cls)
    names = list(keys)

    words = "a table" + (f" with {all_of([k.key for k in required])}" if required else "")

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, dict):
            return wrong_type(value, path, problems, words)
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
    listed = guess == "" and 0 < len(free) <= _MOST_LISTED
    same_thing = guess.rpartition("_")[0] == name.rpartition("_")[0] != ""
    other_unit = same_thing and guess.lower() != name.lower()
    return Problem(
        UNKNOWN_KEY,
        f"the key {name!r} is not known here",
        path=path,
        expected=one_of(free) if listed else "a key that is known here",
        got=f"{name!r}",
        suggestion=guess,
        remedy="The key names the unit: convert the value too." if other_unit else "",
        at_key=True,
    )


@cache
def _homes(cls: type) -> Mapping[str, tuple[str, ...]]:
    """Map each key of a kind of document to the headings under which it may stand."""
    found: dict[str, dict[str, None]] = {}

    def visit(table: type, names: tuple[str, ...], heading: str) -> None:
        for key in keys_of(table).values():
            found.setdefault(key.key, {})[heading] = None
            item = item_of(key.shape)
            inner = key.shape if item is None else item[0]
            path = ".".join((*names, key.key))
            below = f"[{path}]" if item is None else f"[[{path}]]"
            for kind, one in (tagged(inner) or {}).items():
                visit(one, (*names, key.key), f'{below} of kind "{kind}"')
            if is_table(inner):
                visit(inner, (*names, key.key), below)

    visit(cls, (), "")
    return {key: tuple(headings) for key, headings in found.items()}


def _with_home(problem: Problem, homes: Mapping[str, tuple[str, ...]]) -> Problem:
    """Say where a key that is unknown here belongs: the heading above it may be the wrong one."""
    name = problem.path[-1] if problem.path else ""
    if problem.code != UNKNOWN_KEY or not isinstance(name, str) or name not in homes:
        return problem
    headings = homes[name]
    if len(headings) > _MOST_HOMES:
        return problem
    under = [h for h in headings if h]
    places = ["at the top of the file, before the first heading"] if "" in headings else []
    places += [f"under {' or '.join(under)}"] if under else []
    return attrs.evolve(problem, suggestion="", remedy=f"{name!r} belongs {', or '.join(places)}.")


def _missing(key: Key, path: DocPath, cls: type) -> Problem:
    number_of_format = key.key == "format" and not path
    wanted = str(CURRENT) if number_of_format else _words(key.shape, _range(cls, key))
    return Problem(
        MISSING_KEY,
        f'the key "{key.key}" is missing',
        path=path,
        expected=f'"{key.key}" = {wanted}',
        got="no such key",
    )


def _range(cls: type, key: Key) -> Range:
    return RANGES.get((cls, key.attribute), ANY)


def _words(shape: Any, within: Range) -> str:
    """Say what a value of this type looks like."""
    choices = choices_of(shape)
    if choices is not None:
        return one_of(choices)
    if shape is Band:
        return bands.EXPECTED
    item = item_of(shape)
    if item is not None:
        kind = "tables" if is_table(item[0]) else "numbers" if item[0] is float else "texts"
        return f"a list of {kind}" if item[1] is None else f"a list of {item[1]} {kind}"
    plain = {int: "a whole number", float: "a number", str: "a text", bool: "true or false"}
    plain[datetime.date] = DATE_WORDS
    words = plain.get(shape, "a table")
    limits = within.words() if shape in (int, float) else ""
    return f"{words}, {limits}" if limits else words


def _reader(shape: Any, cls: type, key: Key) -> Reader:
    """Make the reader of one type."""
    within = _range(cls, key)
    choices = choices_of(shape)
    if choices is not None:
        return choice_reader(choices)
    if shape is Band:
        return band_reader(within)
    if shape is float:
        return number_reader(within, _words(float, within))
    if shape is int:
        return whole_reader(within)
    if shape is bool:
        return read_truth
    if shape is datetime.date:
        return read_date
    if shape is str:
        return text_reader(TEXT_PATTERNS.get((cls, key.attribute)))
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
        return read_option
    if get_origin(shape) is not None and issubclass(get_origin(shape), Mapping):
        return _mapping_reader(_reader(get_args(shape)[1], cls, key))
    raise TypeError(f"the model has a type that documents cannot hold: {shape!r}")


def _array_reader(item: Reader, length: int | None, expected: str) -> Reader:
    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, list) or (length is not None and len(value) != length):
            return wrong_type(value, path, problems, expected)
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
            return wrong_type(value, path, problems, "a table")
        found = {k: item(raw, (*path, k), problems) for k, raw in value.items()}
        return INVALID if INVALID in found.values() else found

    return read


def _tagged_reader(kinds: Mapping[str, type]) -> Reader:
    choose = choice_reader(tuple(kinds))
    readers = {kind: table_reader(cls) for kind, cls in kinds.items()}

    def read(value: Any, path: DocPath, problems: Problems) -> Any:
        if not isinstance(value, dict):
            return wrong_type(value, path, problems, "a table")
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
