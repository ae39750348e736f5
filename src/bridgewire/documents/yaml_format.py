"""YAML text to plain data, by the core schema of YAML 1.2.

Built from parser events rather than with PyYAML's own constructors: nesting and size are checked
before anything recurses, every key set twice is found, ``yes`` and ``on`` stay texts, and no tag
can make anything but plain data.
"""

from __future__ import annotations

import re
from typing import Any

import yaml
from attrs import define, field

from bridgewire.diagnostics import DocPath
from bridgewire.documents.limits import (
    MAX_DEPTH,
    MAX_VALUES,
    too_deep_message,
    too_many_message,
)
from bridgewire.documents.parsed import Parsed
from bridgewire.documents.problems import (
    DUPLICATE_KEY,
    SYNTAX,
    TOO_LARGE,
    WRONG_TYPE,
    Problem,
    quoted,
    shown,
)
from bridgewire.documents.source import Lines, Span, SpanTable
from bridgewire.documents.yaml_words import explained

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_TAG = "tag:yaml.org,2002:"
_NULL = frozenset(("", "~", "null", "Null", "NULL"))
_TRUE = frozenset(("true", "True", "TRUE"))
_FALSE = frozenset(("false", "False", "FALSE"))
_INTEGER = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o[0-7]+")
_HEXADECIMAL = re.compile(r"0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_INFINITY = re.compile(r"[-+]?\.(?:inf|Inf|INF)")
_NOT_A_NUMBER = frozenset((".nan", ".NaN", ".NAN"))


class _GiveUpError(Exception):
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(problem.message)


@define
class _Frame:
    """A table or list under construction."""

    container: dict[str, Any] | list[Any]
    path: DocPath
    anchor: str | None
    start: int
    count_before: int
    key: str | None = None
    skip: bool = False
    """The value to come belongs to a key set twice: read it, but drop it."""
    height: int = 1


@define
class _Anchored:
    value: Any
    count: int
    height: int


@define
class _Builder:
    lines: Lines
    data: Any = None
    values: dict[DocPath, Span] = field(factory=dict)
    keys: dict[DocPath, Span] = field(factory=dict)
    problems: list[Problem] = field(factory=list)
    documents: int = 0
    _stack: list[_Frame] = field(factory=list)
    _anchors: dict[str, _Anchored | None] = field(factory=dict)
    _count: int = 0

    def feed(self, event: Any) -> None:
        """Take in one parser event."""
        place = (event.start_mark.index, event.end_mark.index)
        if isinstance(event, yaml.ScalarEvent):
            self._scalar(event, place)
        elif isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            self._open(event, place)
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            self._close(place)
        elif isinstance(event, yaml.AliasEvent):
            self._alias(str(event.anchor), place)
        elif isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                raise _GiveUpError(
                    Problem(SYNTAX, "the file holds more than one YAML document", span=place)
                )

    def _wants_key(self) -> _Frame | None:
        if not self._stack:
            return None
        frame = self._stack[-1]
        return frame if isinstance(frame.container, dict) and frame.key is None else None

    def _scalar(self, event: Any, place: Span) -> None:
        frame = self._wants_key()
        value = self._resolved(event, place)
        if frame is None:
            self._tally(1, place)
            self._put(value, place)
            if event.anchor:
                self._anchors[event.anchor] = _Anchored(value, 1, 0)
            return
        if event.anchor:
            self._anchors[event.anchor] = _Anchored(value, 1, 0)
        self._set_key(frame, event.value, value, place)

    def _set_key(self, frame: _Frame, text: str, value: Any, place: Span) -> None:
        path = (*frame.path, text)
        if not isinstance(value, str):
            self.problems.append(
                Problem(
                    WRONG_TYPE,
                    f"the key {quoted(text)} is not a string",
                    path=frame.path,
                    expected="a string as key",
                    got=shown(value),
                    span=place,
                )
            )
        frame.key = text
        assert isinstance(frame.container, dict)
        frame.skip = text in frame.container
        if not frame.skip:
            self.keys.setdefault(path, place)
            return
        line = self.lines.number(self.keys[path][0])
        self.problems.append(
            Problem(
                DUPLICATE_KEY,
                f"the key {text!r} is set twice",
                path=path,
                expected="each key once",
                got=f"{text!r} already set on line {line}",
                remedy="Remove or rename one of the two.",
                span=place,
            )
        )

    def _open(self, event: Any, place: Span) -> None:
        if self._wants_key() is not None:
            raise _GiveUpError(Problem(WRONG_TYPE, "a table or list cannot be a key", span=place))
        if len(self._stack) >= MAX_DEPTH:
            raise _GiveUpError(Problem(TOO_LARGE, too_deep_message(), span=place))
        is_map = isinstance(event, yaml.MappingStartEvent)
        if event.tag not in (None, "!", _TAG + ("map" if is_map else "seq")):
            self._refuse_tag(event.tag, place)
        if event.anchor:
            self._anchors[event.anchor] = None
        self._tally(1, place)
        path = self._next_path()
        self._stack.append(_Frame({} if is_map else [], path, event.anchor, place[0], self._count))

    def _close(self, place: Span) -> None:
        frame = self._stack.pop()
        if frame.anchor:
            count = self._count - frame.count_before + 1
            self._anchors[frame.anchor] = _Anchored(frame.container, count, frame.height)
        self._put(frame.container, (frame.start, max(frame.start + 1, place[0])))
        if self._stack:
            self._stack[-1].height = max(self._stack[-1].height, frame.height + 1)

    def _alias(self, anchor: str, place: Span) -> None:
        if anchor not in self._anchors:
            raise _GiveUpError(
                Problem(SYNTAX, f"nothing is anchored as {quoted(anchor)}", span=place)
            )
        anchored = self._anchors[anchor]
        if anchored is None:
            raise _GiveUpError(Problem(TOO_LARGE, f"{quoted(anchor)} holds itself", span=place))
        frame = self._wants_key()
        if frame is not None:
            text = anchored.value if isinstance(anchored.value, str) else f"*{anchor}"
            self._set_key(frame, text, anchored.value, place)
            return
        if len(self._stack) + anchored.height > MAX_DEPTH:
            raise _GiveUpError(Problem(TOO_LARGE, too_deep_message(), span=place))
        self._tally(anchored.count, place)
        self._put(anchored.value, place)
        if self._stack:
            self._stack[-1].height = max(self._stack[-1].height, anchored.height + 1)

    def _tally(self, count: int, place: Span) -> None:
        self._count += count
        if self._count > MAX_VALUES:
            raise _GiveUpError(
                Problem(
                    TOO_LARGE,
                    too_many_message(),
                    span=place,
                    remedy="Repeat less with aliases, or split the document.",
                )
            )

    def _next_path(self) -> DocPath:
        if not self._stack:
            return ()
        frame = self._stack[-1]
        if isinstance(frame.container, list):
            return (*frame.path, len(frame.container))
        return (*frame.path, frame.key or "")

    def _put(self, value: Any, place: Span) -> None:
        path = self._next_path()
        if not self._stack:
            self.values[()] = place
            self.data = value
            return
        frame = self._stack[-1]
        if isinstance(frame.container, list):
            self.values.setdefault(path, place)
            frame.container.append(value)
            return
        if not frame.skip:
            self.values.setdefault(path, place)
            frame.container[frame.key or ""] = value
        frame.key = None
        frame.skip = False

    def _resolved(self, event: Any, place: Span) -> Any:
        text, tag = event.value, event.tag
        if tag in ("!", _TAG + "str") or (tag is None and not event.implicit[0]):
            return text
        try:
            value = resolve_plain(text)
        except ValueError:  # a whole number with thousands of digits
            self.problems.append(Problem(SYNTAX, "a number has thousands of digits", span=place))
            return None
        if tag is None:
            return value
        kinds = {"int": (int,), "float": (int, float), "bool": (bool,), "null": (type(None),)}
        wanted = kinds.get(tag.removeprefix(_TAG))
        if wanted is None:
            self._refuse_tag(tag, place)
            return text
        if not isinstance(value, wanted) or (isinstance(value, bool) and bool not in wanted):
            self.problems.append(
                Problem(
                    WRONG_TYPE,
                    f"the tag {quoted(tag)} does not fit the value",
                    got=shown(value),
                    span=place,
                )
            )
        return value

    def _refuse_tag(self, tag: str, place: Span) -> None:
        self.problems.append(
            Problem(
                SYNTAX,
                f"the tag {quoted(tag)} is not used in documents",
                expected="plain data",
                got=quoted(tag),
                remedy="Remove the tag.",
                span=place,
            )
        )


def resolve_plain(text: str) -> Any:
    """Turn an unquoted scalar into a value by YAML 1.2's core schema.

    >>> [resolve_plain(t) for t in ("yes", "true", "010", "0o10", "1e3", "~")]
    ['yes', True, 10, 8, 1000.0, None]
    """
    if text in _NULL:
        return None
    if text in _TRUE:
        return True
    if text in _FALSE:
        return False
    if _INTEGER.fullmatch(text):
        return int(text)
    if _OCTAL.fullmatch(text):
        return int(text[2:], 8)
    if _HEXADECIMAL.fullmatch(text):
        return int(text[2:], 16)
    if _FLOAT.fullmatch(text):
        return float(text)
    if _INFINITY.fullmatch(text):
        return float("-inf" if text.startswith("-") else "inf")
    if text in _NOT_A_NUMBER:
        return float("nan")
    return text


def parse_yaml(text: str) -> Parsed:
    """Parse YAML; one document, plain data only.

    Parameters
    ----------
    text : str
        The text, without a byte order mark.

    Returns
    -------
    Parsed
        Data, or problems, or both. After a syntax error nothing more can be read.

    Examples
    --------
    >>> parse_yaml("on: 12.5").data
    {'on': 12.5}
    """
    builder = _Builder(Lines(text))
    give_up: Problem | None = None
    try:
        for event in yaml.parse(text, Loader=_Loader):
            builder.feed(event)
    except _GiveUpError as error:
        give_up = error.problem
    except yaml.YAMLError as error:
        give_up = _syntax_problem(error, text)
    if give_up is not None:
        return Parsed(None, problems=(*builder.problems, give_up))
    if not isinstance(builder.data, dict):
        problem = Problem(
            WRONG_TYPE,
            "a document is a table",
            expected="a table (key: value)",
            got=shown(builder.data),
        )
        return Parsed(None, problems=(*builder.problems, problem))
    table = SpanTable(builder.values, builder.keys)
    return Parsed(builder.data, lambda: table, tuple(builder.problems))


def _syntax_problem(error: yaml.YAMLError, text: str) -> Problem:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    words = getattr(error, "problem", None) or getattr(error, "reason", None) or "not readable"
    begun = getattr(error, "context_mark", None)
    if begun is not None and ("expected ':'" in words or "end of stream" in words):
        mark = begun  # where the key or the quote stands, not where the parser gave up
    position = _reader_position(error, text) if mark is None else int(mark.index)
    if "nesting depth" in words:  # libyaml's own limit; it reads ahead of us
        return Problem(TOO_LARGE, too_deep_message(), span=(position, position + 1))
    plain = explained(words, text[position : position + 1])
    message = f"not valid YAML: {plain.message}"
    return Problem(SYNTAX, message, remedy=plain.remedy, span=(position, position + 1))


def _reader_position(error: yaml.YAMLError, text: str) -> int:
    """Find the character that the reader refuses; it counts bytes in C, characters in Python."""
    character = getattr(error, "character", None)
    if isinstance(character, int):
        found = text.find(chr(character)) if character < 0x110000 else -1
        if found >= 0:
            return found
    position = getattr(error, "position", 0)
    return position if isinstance(position, int) else 0
