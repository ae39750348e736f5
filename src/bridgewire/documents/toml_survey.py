"""Walks the syntax tree of a TOML text: where everything stands, and what is set twice."""

from __future__ import annotations

import tomllib

import tree_sitter_toml
from attrs import frozen
from tree_sitter import Language, Node, Parser, Tree

from bridgewire.diagnostics import DocPath
from bridgewire.documents.nodes import MAX_WALK_DEPTH, span, text_of
from bridgewire.documents.source import Span, SpanTable

_KEYS = ("bare_key", "quoted_key")


@frozen
class Duplicate:
    """A key or table that is set again."""

    path: DocPath
    key: Span
    """Bytes of the second setting's key."""
    whole: Span
    """Bytes of all that is set again."""
    first: Span
    """Bytes of the first setting."""
    is_table: bool


def parse_tree(utf8: bytes) -> Tree:
    """Parse TOML into a concrete syntax tree; never fails."""
    return Parser(Language(tree_sitter_toml.language())).parse(utf8)


class Survey:
    """Places, duplicates and damaged tables of one TOML text."""

    def __init__(self, utf8: bytes) -> None:
        self.tree = parse_tree(utf8)
        self.values: dict[DocPath, Span] = {(): (0, 1)}
        self.keys: dict[DocPath, Span] = {}
        self.duplicates: list[Duplicate] = []
        self.damaged: set[DocPath] = set()
        self.broken_header = False
        self.headers: list[tuple[int, DocPath]] = [(0, ())]
        """Byte at which each table starts, and its path."""
        self._kinds: dict[DocPath, str] = {(): "table"}
        self._counts: dict[DocPath, int] = {}
        self._utf8 = utf8
        self._walk(self.tree.root_node)

    def table(self) -> SpanTable:
        """Return the places found."""
        return SpanTable(self.values, self.keys, None if self._utf8.isascii() else self._utf8)

    def _walk(self, root: Node) -> None:
        current: DocPath = ()
        for node in root.children:
            if node.type in ("table", "table_array_element"):
                current = self._header(node)
                self.headers.append((node.start_byte, current))
                for child in node.children:
                    self._entry(child, current)
            else:
                self._entry(node, current)

    def _entry(self, node: Node, current: DocPath) -> None:
        if node.type == "pair":
            self._pair(node, current, 0)
        if node.has_error or node.is_missing:
            self.damaged.add(current)
            if text_of(node).lstrip().startswith("[") and node.type == "ERROR":
                self.broken_header = True

    def _header(self, node: Node) -> DocPath:
        is_array = node.type == "table_array_element"
        parts = _key_parts(node)
        place = _header_span(node)
        path: DocPath = ()
        for name, part in parts[:-1]:
            path = (*path, name)
            self._kinds.setdefault(path, "implicit")
            self.values.setdefault(path, part)
            self.keys.setdefault(path, part)
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        if not parts:
            self.broken_header = True
            return path
        name, part = parts[-1]
        path = (*path, name)
        kind = self._kinds.get(path)
        allowed = (None, "array") if is_array else (None, "implicit")
        if kind not in allowed:
            self._twice(path, part, span(node), is_table=True)
            return (*path, "\0again")
        self.values.setdefault(path, place)
        self.keys.setdefault(path, part)
        if not is_array:
            if kind == "implicit":
                self.values[path] = place
            self._kinds[path] = "table"
            return path
        self._kinds[path] = "array"
        count = self._counts.get(path, 0)
        self._counts[path] = count + 1
        path = (*path, count)
        self._kinds[path] = "table"
        self.values[path] = place
        self.keys[path] = place
        return path

    def _pair(self, node: Node, table: DocPath, depth: int) -> None:
        parts = _key_parts(node)
        if not parts or depth > MAX_WALK_DEPTH:
            return
        path = table
        for name, part in parts[:-1]:
            path = (*path, name)
            kind = self._kinds.setdefault(path, "dotted")
            if kind != "dotted":
                self._twice(path, part, span(node), is_table=False)
                return
            self.values.setdefault(path, part)
            self.keys.setdefault(path, part)
        name, part = parts[-1]
        path = (*path, name)
        if path in self._kinds:
            self._twice(path, part, span(node), is_table=False)
            return
        self._kinds[path] = "value"
        self.keys[path] = part
        value = _value_of(node)
        if value is None:
            self.values[path] = part
        else:
            self._value(value, path, depth)

    def _value(self, node: Node, path: DocPath, depth: int) -> None:
        self.values[path] = span(node)
        if depth > MAX_WALK_DEPTH:
            return
        if node.type == "inline_table":
            for child in node.named_children:
                if child.type == "pair":
                    self._pair(child, path, depth + 1)
        elif node.type == "array":
            index = 0
            for child in node.named_children:
                if child.type != "comment" and not child.is_error:
                    self._value(child, (*path, index), depth + 1)
                    index += 1

    def _twice(self, path: DocPath, key: Span, whole: Span, *, is_table: bool) -> None:
        first = self.keys.get(path) or self.values.get(path, (0, 1))
        self.duplicates.append(Duplicate(path, key, whole, first, is_table))


def _value_of(pair: Node) -> Node | None:
    """Return the value of a pair; a comment may follow it within the pair."""
    after_sign = False
    for child in pair.children:
        if child.type == "=":
            after_sign = True
        elif after_sign and child.type != "comment" and not child.is_error:
            return child
    return None


def _header_span(node: Node) -> Span:
    for child in node.children:
        if child.type in ("]", "]]"):
            return node.start_byte, child.end_byte
    return node.start_byte, node.start_byte + 1


def _key_parts(node: Node) -> list[tuple[str, Span]]:
    for child in node.children:
        if child.type in _KEYS:
            return [(_name(child), span(child))]
        if child.type == "dotted_key":
            return _dotted(child)
        if child.type == "=":
            break
    return []


def _dotted(node: Node) -> list[tuple[str, Span]]:
    parts: list[tuple[str, Span]] = []
    level: Node | None = node
    while level is not None:
        inner = None
        here: list[tuple[str, Span]] = []
        for child in level.children:
            if child.type in _KEYS:
                here.append((_name(child), span(child)))
            elif child.type == "dotted_key":
                inner = child
        parts = here + parts
        level = inner
    return parts


def _name(node: Node) -> str:
    text = text_of(node)
    if node.type == "bare_key":
        return text
    if "\\" not in text:
        return text[1:-1]
    try:
        return next(iter(tomllib.loads(f"{text} = 0")))
    except ValueError:
        return text[1:-1]
