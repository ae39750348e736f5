"""JSON text to plain data."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import tree_sitter_json
from tree_sitter import Language, Node, Parser

from bridgewire.diagnostics import DocPath
from bridgewire.documents.limits import MAX_FINDINGS, MAX_SURVEYED, too_deep_message
from bridgewire.documents.nodes import MAX_WALK_DEPTH, span, text_of
from bridgewire.documents.parsed import Parsed
from bridgewire.documents.problems import (
    DUPLICATE_KEY,
    SYNTAX,
    TOO_LARGE,
    WRONG_TYPE,
    Problem,
    shown,
)
from bridgewire.documents.source import Lines, Span, SpanTable, byte_span_to_characters
from bridgewire.documents.toml_format import deepest_opening

# A string that never closes is one token: to look into it again at every quote takes for ever.
_NON_NUMBER = re.compile(r'"(?:[^"\\]|\\.)*+"?|-?Infinity|NaN')

_MOST_MENDED = 20
_MEANINGS = (
    ("Expecting property name", "there is no key in double quotes here", ""),
    ("Expecting ',' delimiter", "there is no comma or closing bracket before this", ""),
    ("Expecting ':' delimiter", 'there is no ":" after the key', ""),
    (
        "Expecting value",
        "this is no value",
        "Write a number, a text in double quotes, true, false, […] or {…}.",
    ),
    ("Invalid control character", "a text is not closed on its line", 'Close it with ".'),
    ("Unterminated string", "a text is opened but never closed", 'Close it with ".'),
    ("Invalid \\", 'a "\\" starts an escape, and this is none', 'Write a path with "/".'),
    ("Extra data", "there is more text after the end of the document", ""),
)
"""What the parser's message starts with -> the same in plain words, and what to do."""


def parse_json(text: str) -> Parsed:
    """Parse JSON; a key set twice and text that is no JSON are problems.

    ``NaN`` and ``Infinity`` come through as floats; they are refused where values are checked,
    with their place.

    Parameters
    ----------
    text : str
        The text, without a byte order mark.

    Returns
    -------
    Parsed
        Data, or problems, or both.

    Examples
    --------
    >>> parse_json('{"x": 1}').data
    {'x': 1}
    >>> [p.code for p in parse_json('{"x": 1, "x": 2}').problems]
    ['DOC003']
    """
    twice = False

    def table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        nonlocal twice
        found: dict[str, Any] = {}
        for key, value in pairs:
            if key in found:
                twice = True
            else:
                found[key] = value
        return found

    try:
        data = json.loads(text, object_pairs_hook=table)
    except RecursionError:
        place = deepest_opening(text)
        return Parsed(None, problems=(Problem(TOO_LARGE, too_deep_message(), span=place),))
    except json.JSONDecodeError as error:
        return Parsed(None, problems=_syntax_problems(text, error))
    except ValueError:  # a whole number with thousands of digits
        return Parsed(None, problems=(_long_number(text),))
    if not isinstance(data, dict):
        problem = Problem(
            WRONG_TYPE, "a document is a table", expected="a table {…}", got=shown(data)
        )
        return Parsed(None, problems=(problem,))
    problems = tuple(_Survey(text).duplicates) if twice else ()
    return Parsed(data, places(text), problems)


def places(text: str) -> Callable[[], SpanTable]:
    """Return what finds all places in a JSON text."""
    return lambda: _Survey(text).table()


def _long_number(text: str) -> Problem:
    found = re.search(r"\d{4301,}", text)
    place = found.span() if found else (0, 1)
    return Problem(SYNTAX, "a number has thousands of digits", span=place)


def _syntax_problems(text: str, error: json.JSONDecodeError) -> tuple[Problem, ...]:
    """Report a syntax error, and those after it as far as each can be mended without a doubt.

    Nothing moves: what is mended stays as long as it was.
    """
    problems: list[Problem] = []
    mended: str | None = text
    for _ in range(_MOST_MENDED):
        problem, mended = _syntax_problem(mended or text, error)
        problems.append(problem)
        if mended is None or len(text) > MAX_SURVEYED:
            break
        try:
            json.loads(mended)
            break
        except json.JSONDecodeError as following:
            if following.pos <= error.pos:
                break
            error = following
        except (ValueError, RecursionError):
            break
    return tuple(problems)


def _syntax_problem(text: str, error: json.JSONDecodeError) -> tuple[Problem, str | None]:
    """Report one syntax error; return the text without it, where it is plain what was meant."""
    # Python 3.13 points at such a comma, earlier versions at what follows it.
    position = error.pos + (text[error.pos : error.pos + 1] == ",")
    before = text[:position].rstrip()
    following = text[position:].lstrip()[:1]
    if following in ("}", "]") and before.endswith(","):
        start = len(before) - 1
        words = f'not valid JSON: there is a comma before the closing "{following}"'
        problem = Problem(SYNTAX, words, span=(start, start + 1), remedy="Remove the comma.")
        return problem, f"{text[:start]} {text[start + 1 :]}"
    start = error.pos
    message, remedy = _explained(error.msg, text[start : start + 1])
    span = (start, start + 1)
    problem = Problem(SYNTAX, f"not valid JSON: {message}", remedy=remedy, span=span)
    if error.msg.startswith("Expecting ',' delimiter") and text[start - 1].isspace():
        return problem, f"{text[: start - 1]},{text[start:]}"
    return problem, None


def _explained(message: str, at: str) -> tuple[str, str]:
    """Put a refusal of the parser in plain words, given the character at which it gave up."""
    if at in ("#", "/") and message.startswith("Expecting"):
        return "a remark cannot stand in JSON", "Remove it, or write the file as TOML or YAML."
    if at == "'" and message.startswith("Expecting"):
        return "a text stands in single quotes", 'Write double quotes: "…".'
    for start, words, remedy in _MEANINGS:
        if message.startswith(start):
            return words, remedy
    return message[:1].lower() + message[1:].removesuffix(" at"), ""


def _without_non_numbers(text: str) -> str:
    """Put numbers of the same width where NaN and Infinity stand: the grammar knows neither."""

    def replace(found: re.Match[str]) -> str:
        token = found.group()
        return token if token.startswith('"') else "1" * len(token)

    return _NON_NUMBER.sub(replace, text) if "NaN" in text or "Infinity" in text else text


def _tree(utf8: bytes) -> Node:
    return Parser(Language(tree_sitter_json.language())).parse(utf8).root_node


class _Survey:
    """Places and duplicates of one JSON text."""

    def __init__(self, text: str) -> None:
        self._lines = Lines(text)
        self._utf8 = _without_non_numbers(text).encode("utf-8", "replace")
        self.values: dict[DocPath, Span] = {(): (0, 1)}
        self.keys: dict[DocPath, Span] = {}
        self.duplicates: list[Problem] = []
        for node in _tree(self._utf8).named_children:
            if node.type == "object":
                self._value(node, (), 0)

    def table(self) -> SpanTable:
        """Return the places found."""
        return SpanTable(self.values, self.keys, None if self._utf8.isascii() else self._utf8)

    def _value(self, node: Node, path: DocPath, depth: int) -> None:
        self.values[path] = span(node)
        if depth > MAX_WALK_DEPTH:
            return
        if node.type == "object":
            for pair in node.named_children:
                key = pair.child_by_field_name("key") if pair.type == "pair" else None
                value = pair.child_by_field_name("value") if pair.type == "pair" else None
                if key is not None and value is not None:
                    self._pair(key, value, path, depth)
        elif node.type == "array":
            for index, child in enumerate(node.named_children):
                self._value(child, (*path, index), depth + 1)

    def _pair(self, key: Node, value: Node, table: DocPath, depth: int) -> None:
        try:
            name = json.loads(text_of(key))
        except ValueError:
            return
        path = (*table, str(name))
        if path in self.keys:
            if len(self.duplicates) > MAX_FINDINGS:
                return
            first = byte_span_to_characters(self._utf8, self.keys[path])
            line = self._lines.number(first[0])
            self.duplicates.append(
                Problem(
                    DUPLICATE_KEY,
                    f"the key {name!r} is set twice",
                    path=path,
                    expected="each key once",
                    got=f"{name!r} already set on line {line}",
                    remedy="Remove or rename one of the two.",
                    span=byte_span_to_characters(self._utf8, span(key)),
                )
            )
            return
        self.keys[path] = span(key)
        self._value(value, path, depth + 1)
