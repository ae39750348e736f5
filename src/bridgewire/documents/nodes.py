"""Small helpers for concrete syntax trees."""

from __future__ import annotations

from collections.abc import Iterator

from tree_sitter import Node

MAX_WALK_DEPTH = 80
"""Deepest nesting walked; deeper documents are refused elsewhere."""


def span(node: Node) -> tuple[int, int]:
    """Return the bytes a node covers."""
    return node.start_byte, node.end_byte


def text_of(node: Node) -> str:
    """Return the source text of a node."""
    raw = node.text
    return raw.decode("utf-8", "replace") if raw else ""


def broken_nodes(root: Node) -> Iterator[Node]:
    """Yield the outermost nodes that do not fit the grammar, in reading order."""
    stack = [root]
    while stack:
        node = stack.pop()
        if node.is_error or node.is_missing:
            yield node
        elif node.has_error:
            stack.extend(reversed(node.children))
