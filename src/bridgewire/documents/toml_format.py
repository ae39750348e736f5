"""TOML text to plain data.

The values come from ``tomllib``. Only when it refuses a text is the syntax tree walked, to find
every syntax error and every duplicate instead of the first. What is damaged is then blanked out
(nothing moves) and the rest is read, so that its problems show in the same go.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from itertools import islice
from typing import TYPE_CHECKING, Any

from bridgewire.diagnostics import DocPath
from bridgewire.documents.limits import MAX_FINDINGS, MAX_SURVEYED, too_deep_message
from bridgewire.documents.parsed import Parsed
from bridgewire.documents.problems import DUPLICATE_KEY, SYNTAX, TOO_LARGE, Problem
from bridgewire.documents.source import Lines, Span, SpanTable, byte_span_to_characters

if TYPE_CHECKING:  # the syntax tree and plain words are wanted for damaged documents only
    from tree_sitter import Node

    from bridgewire.documents.toml_survey import Duplicate
    from bridgewire.documents.toml_words import Words

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)\Z")
_TWICE = re.compile(r"Cannot (overwrite|declare|mutate)|Duplicate inline table key", re.I)
_LONG_DOTTED_KEY = re.compile(
    r"(?<![\w.\"'-])(?:(?:[\w-]++|\"[^\"\n]*+\"|'[^'\n]*+')[ \t]*+\.[ \t]*+){65}"
)
# A string that never closes is one token: to look into it again at every quote takes for ever.
_OPENING = re.compile(r"\"\"\"|'''|\"(?:[^\"\\\n]|\\.)*+\"?|'[^'\n]*+'|#[^\n]*+|[\[{\]}]")
_ARRAY_TOKEN = re.compile(r"\"\"\"|'''|\"(?:[^\"\\\n]|\\.)*+\"?|'[^'\n]*+'|#[^\n]*+|[\[\]\n]")
_NEXT_ENTRY = re.compile(
    r"[ \t]*(?:[\w.-]+[ \t]*=|\[\[?(?!(?:true|false|inf|nan)\b)[A-Za-z_][\w.-]*\]\]?[ \t]*(?:#|$))",
    re.M,
)
_ONE_HEADING = (
    "Put all its keys under one heading; one more entry of a list has double brackets: [[…]]."
)
_MOST_RETRIES = 20
_MOST_BLANKED_LINES = 3


def places(text: str) -> Callable[[], SpanTable]:
    """Return what finds all places in a TOML text."""

    def build() -> SpanTable:
        from bridgewire.documents.toml_survey import Survey

        return Survey(text.encode("utf-8", "replace")).table()

    return build


def parse_toml(text: str) -> Parsed:
    """Parse TOML.

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
    >>> parse_toml("x = 1").data
    {'x': 1}
    >>> [p.code for p in parse_toml("x = 1\\nx = 2\\ny = ]").problems]
    ['DOC003', 'DOC002']
    """
    long_key = _LONG_DOTTED_KEY.search(text)
    if long_key is not None:
        return _too_deep(long_key.span())
    try:
        return Parsed(tomllib.loads(text), places(text))
    except RecursionError:
        return _too_deep(deepest_opening(text))
    except ValueError as error:  # TOMLDecodeError, or a number too long to convert
        if len(text) > MAX_SURVEYED:
            return Parsed(None, problems=(_refusal(error, text),))
        return _damaged(text)


def deepest_opening(text: str, limit: int = 64) -> Span:
    """Find the bracket that opens the first level beyond `limit`; strings are skipped.

    >>> deepest_opening("a = [[1]]", limit=1)
    (5, 6)
    """
    depth = 0
    position = 0
    while (found := _OPENING.search(text, position)) is not None:
        position = found.end()
        token = found.group()
        if token in ('"""', "'''"):
            close = text.find(token, position)
            position = len(text) if close < 0 else close + 3
        elif token in "[{":
            depth += 1
            if depth > limit:
                return found.span()
        elif token in "]}":
            depth = max(0, depth - 1)
    return 0, 1


def unclosed_arrays(text: str) -> Iterator[tuple[int, Span]]:
    """Find arrays that are not closed before the next key or header, and the lines they spoil.

    >>> list(unclosed_arrays("a = [1\\nb = 2"))
    [(4, (0, 6))]
    """
    opened: list[int] = []
    line_start, is_header = 0, False  # of the outermost array's line
    position = 0
    while (found := _ARRAY_TOKEN.search(text, position)) is not None:
        position = found.end()
        token = found.group()
        if token in ('"""', "'''"):
            close = text.find(token, position)
            position = len(text) if close < 0 else close + 3
        elif token == "[":
            if not opened:
                line_start = text.rfind("\n", 0, found.start()) + 1
                is_header = not text[line_start : found.start()].strip()
            opened.append(found.start())
        elif token == "]":
            if opened:
                opened.pop()
        elif token != "\n" or not opened:
            continue
        elif is_header:
            opened = []  # a broken header, not an array
        elif _NEXT_ENTRY.match(text, position):
            yield opened[0], (line_start, found.start())
            opened = []
    if opened and not is_header:
        yield opened[0], (line_start, len(text))


def _too_deep(place: Span) -> Parsed:
    return Parsed(None, problems=(Problem(TOO_LARGE, too_deep_message(), span=place),))


def _damaged(text: str) -> Parsed:
    repair = _Repair(text)
    data = repair.run()
    return Parsed(
        data,
        places(repair.text),
        tuple(repair.problems),
        frozenset(repair.survey.damaged),
    )


class _Repair:
    """Collects the problems of a text that ``tomllib`` refuses, and blanks them out."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.problems: list[Problem] = []
        self._reported: set[int] = set()
        self._lines = Lines(text)
        unclosed = list(islice(unclosed_arrays(text), MAX_FINDINGS))
        for bracket, lines in unclosed:
            self._reported.add(self._line(bracket))
            self.problems.append(
                Problem(
                    SYNTAX,
                    "not valid TOML: a list is opened but never closed",
                    expected='a closing "]"',
                    span=(bracket, bracket + 1),
                )
            )
            self._blank(lines)
        from bridgewire.documents.toml_survey import Survey

        self._surveyed = self.text
        self._utf8 = self.text.encode("utf-8", "replace")
        self.survey = Survey(self._utf8)
        for bracket, _ in unclosed:
            self.survey.damaged.add(self._table_at(bracket))

    def run(self) -> dict[str, Any] | None:
        """Report everything; return what could be read, or None."""
        from bridgewire.documents.nodes import broken_nodes

        readable = True
        broken = list(islice(broken_nodes(self.survey.tree.root_node), MAX_FINDINGS))
        blanks: list[Span] = []
        if not self.survey.broken_header:
            blanks.extend(self._report_duplicate(d) for d in self.survey.duplicates[:MAX_FINDINGS])
        for node in broken:
            place = self._report_broken(node)
            readable = readable and place is not None
            if place is not None:
                blanks.append(place)
        for place in blanks:
            self._blank(place)
        if self.survey.broken_header or not readable:
            if not self.problems:
                self._retry(1)
            return None
        return self._retry(_MOST_RETRIES)

    def _report_duplicate(self, duplicate: Duplicate) -> Span:
        place = self._characters(duplicate.key)
        first = self._line(self._characters(duplicate.first)[0])
        what = "table" if duplicate.is_table else "key"
        name = next((s for s in reversed(duplicate.path) if isinstance(s, str)), "")
        self.problems.append(
            Problem(
                DUPLICATE_KEY,
                f"the {what} {name!r} is set twice",
                path=tuple(s for s in duplicate.path if s != "\0again"),
                expected=f"each {what} once",
                got=f"{name!r} already set on line {first}",
                remedy=_ONE_HEADING if duplicate.is_table else "Remove or rename one of the two.",
                span=place,
            )
        )
        self._reported.add(self._line(place[0]))
        return self._characters(duplicate.whole)

    def _report_broken(self, node: Node) -> Span | None:
        start, end = self._characters((node.start_byte, node.end_byte))
        while start < end and self.text[start].isspace():
            start += 1
        line = self._line(start)
        begin = self.text.rfind("\n", 0, start) + 1
        stop = self.text.find("\n", begin)
        stop = len(self.text) if stop < 0 else stop
        if line not in self._reported:
            self._reported.add(line)
            words, offset = _complaint(self.text[begin:stop])
            place = start if offset is None else begin + offset
            self.problems.append(_problem(SYNTAX, words, (place, max(place + 1, min(end, stop)))))
        last = self.text.rstrip()[:end].count("\n") + 1 if end > start else line
        if last - line >= _MOST_BLANKED_LINES:
            return None
        stop = self.text.find("\n", max(begin, end - 1))
        return begin, len(self.text) if stop < 0 else stop

    def _retry(self, times: int) -> dict[str, Any] | None:
        """Parse again and again, each time without the line that the parser refused."""
        for _ in range(times):
            try:
                return tomllib.loads(self.text)
            except RecursionError:
                self.problems.append(
                    Problem(TOO_LARGE, too_deep_message(), span=deepest_opening(self.text))
                )
                return None
            except ValueError as error:
                place = self._report_refusal(error)
                if place is None:
                    return None
                self.survey.damaged.add(self._table_at(place[0]))
                self._blank(place)
        return None

    def _report_refusal(self, error: ValueError) -> Span | None:
        problem = _refusal(error, self.text)
        start = problem.span[0] if problem.span else 0
        line = self._line(start)
        begin = self.text.rfind("\n", 0, start) + 1
        stop = self.text.find("\n", begin)
        stop = len(self.text) if stop < 0 else stop
        if line not in self._reported:
            self._reported.add(line)
            self.problems.append(problem)
        content = self.text[begin:stop].strip()
        return None if not content or content.startswith("[") else (begin, stop)

    def _blank(self, place: Span) -> None:
        start, end = place
        kept = re.sub(r"[^\n\r]", " ", self.text[start:end])
        self.text = self.text[:start] + kept + self.text[end:]

    def _table_at(self, offset: int) -> DocPath:
        """Return the path of the table that a character belongs to."""
        byte = len(self._surveyed[:offset].encode("utf-8", "replace"))
        return next(path for start, path in reversed(self.survey.headers) if start <= byte)

    def _characters(self, place: Span) -> Span:
        return byte_span_to_characters(self._utf8, place)

    def _line(self, offset: int) -> int:
        return self._lines.number(offset)


def _refusal(error: ValueError, text: str) -> Problem:
    """Make a problem of what the parser says about a whole text."""
    from bridgewire.documents.toml_words import explained

    message, start = _split_place(str(error), text)
    if start is None:
        start = 0 if "digits" in message else len(text)
    code = DUPLICATE_KEY if _TWICE.match(message) else SYNTAX
    begin = text.rfind("\n", 0, start) + 1
    stop = text.find("\n", start)
    line = text[begin : len(text) if stop < 0 else stop]
    return _problem(code, explained(message, line, start - begin), (start, start + 1))


def _complaint(line: str) -> tuple[Words, int | None]:
    """Ask the parser what it dislikes about one line alone."""
    from bridgewire.documents.toml_words import Words, explained

    try:
        tomllib.loads(line)
    except RecursionError:
        return Words(too_deep_message()), None
    except ValueError as error:
        message, start = _split_place(str(error), line)
        return explained(message, line, len(line) if start is None else start), start
    return explained("", line, len(line)), None


def _problem(code: str, words: Words, span: Span) -> Problem:
    message = f"not valid TOML: {words.message}"
    return Problem(code, message, expected=words.expected, remedy=words.remedy, span=span)


def _split_place(message: str, text: str) -> tuple[str, int | None]:
    """Split a parser's message into its words and an offset in the text."""
    found = _PLACE.search(message)
    if found is None:
        return message, None
    words = message[: found.start()]
    if found.group(1) is None:
        return words, len(text.rstrip())
    position = 0
    for _ in range(int(found.group(1)) - 1):
        position = text.find("\n", position) + 1
    return words, min(position + int(found.group(2)) - 1, len(text))
