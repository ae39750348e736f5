"""A document as read, and where in its file each value stands."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable
from typing import Any, TypeAlias

from attrs import field, frozen

from bridgewire.diagnostics import DocPath, Location
from bridgewire.documents.limits import MAX_SNIPPET

Span: TypeAlias = tuple[int, int]
"""Start and end (exclusive) in a text, in characters unless said otherwise."""

_CONTROL = dict.fromkeys((*range(0x09), *range(0x0B, 0x20), *range(0x7F, 0xA0)), "�")


@frozen
class SpanTable:
    """Where values and keys stand.

    Offsets count characters, or bytes of `utf8` where that is given.
    """

    values: dict[DocPath, Span]
    keys: dict[DocPath, Span]
    utf8: bytes | None = None

    def characters(self, span: Span) -> Span:
        """Turn a span of this table into one that counts characters."""
        if self.utf8 is None:
            return span
        return byte_span_to_characters(self.utf8, span)


def byte_span_to_characters(utf8: bytes, span: Span) -> Span:
    """Turn byte offsets into character offsets.

    >>> byte_span_to_characters("é = 1".encode(), (5, 6))
    (4, 5)
    """
    start = len(utf8[: span[0]].decode("utf-8", "ignore"))
    return start, start + len(utf8[span[0] : span[1]].decode("utf-8", "ignore"))


class Lines:
    """Turns offsets in a text into line numbers.

    >>> Lines("a\\nb").number(2)
    2
    """

    def __init__(self, text: str) -> None:
        self.starts = [0, *(m.end() for m in re.finditer("\n", text))]

    def number(self, offset: int) -> int:
        """Return the line of a character, from 1."""
        return bisect_right(self.starts, offset)


class SourceMap:
    """Finds the place of a document path in the source text.

    The table of places is built when the first place is asked for, so that a document without
    problems costs nothing.

    Parameters
    ----------
    file : str
        Name of the file as a person gave it.
    text : str
        The whole text, without a byte order mark.
    build : callable
        Makes the table of places.
    included : tuple of SourceMap
        Maps of files that the document takes in (a cue list); the map that knows the longest
        part of a path answers.

    Examples
    --------
    >>> places = SourceMap("a.toml", "x = 1\\ny = 2", lambda: SpanTable({("y",): (10, 11)}, {}))
    >>> str(places.locate(("y", "z")))
    'a.toml:2:5'
    """

    def __init__(
        self,
        file: str,
        text: str,
        build: Callable[[], SpanTable],
        included: tuple[SourceMap, ...] = (),
    ) -> None:
        self._file = file
        self._text = text
        self._build = build
        self._included = included
        self._table: SpanTable | None = None
        self._lines: Lines | None = None

    def including(self, other: SourceMap) -> SourceMap:
        """Return a map that also knows the places in another file."""
        return SourceMap(self._file, self._text, self._build, (*self._included, other))

    def locate(self, path: DocPath) -> Location:
        """Find the value at `path`, or the nearest thing above it that is there.

        Parameters
        ----------
        path : DocPath
            Keys and indexes from the root.

        Returns
        -------
        Location
            Line and column count from 1; columns count characters.
        """
        best, depth = self, len(self._nearest(path))
        for other in self._included:
            found = len(other._nearest(path))
            if found > depth:
                best, depth = other, found
        return best._value(path[:depth])

    def locate_key(self, path: DocPath) -> Location:
        """Find the key that `path` ends with; the same as `locate` where it has none."""
        for places in (self, *self._included):
            table = places._spans()
            if path in table.keys:
                return places.locate_span(table.characters(table.keys[path]))
        return self.locate(path)

    def locate_span(self, span: Span) -> Location:
        """Turn character offsets into a place."""
        if self._lines is None:
            self._lines = Lines(self._text)
        end_of_text = len(self._text.rstrip())
        start = min(max(span[0], 0), end_of_text)
        row = self._lines.number(start) - 1
        begin = self._lines.starts[row]
        stop = self._text.find("\n", begin)
        stop = len(self._text) if stop < 0 else stop
        if self._text[begin:stop].endswith("\r"):
            stop -= 1
        start = min(start, stop)
        column = start - begin + 1
        # A line that is too long to show is left out unless its beginning tells enough.
        snippet = self._text[begin : min(stop, begin + MAX_SNIPPET)]
        if column > MAX_SNIPPET:
            snippet = ""
        width = max(1, min(span[1], stop) - start)
        if snippet:
            width = max(1, min(width, len(snippet) - column + 1))
        return Location(self._file, row + 1, column, snippet.translate(_CONTROL), width)

    def _spans(self) -> SpanTable:
        if self._table is None:
            self._table = self._build()
        return self._table

    def _nearest(self, path: DocPath) -> DocPath:
        values = self._spans().values
        while path and path not in values:
            path = path[:-1]
        return path

    def _value(self, path: DocPath) -> Location:
        table = self._spans()
        span = table.values.get(path)
        return self.locate_span((0, 1) if span is None else table.characters(span))


@frozen
class Document:
    """A document as read: plain data, the places of its values, and a hash of the file."""

    file: str
    data: dict[str, Any] = field(repr=False)
    spans: SourceMap = field(repr=False, eq=False)
    sha256: str
    """Of the file's bytes, in hexadecimal."""
    included: tuple[tuple[str, str], ...] = ()
    """Name and SHA-256 of each file that the document takes in (a cue list)."""
