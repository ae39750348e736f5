"""What a parser makes of a text."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from attrs import field, frozen

from bridgewire.diagnostics import DocPath
from bridgewire.documents.problems import Problem
from bridgewire.documents.source import SpanTable


def no_places() -> SpanTable:
    """Make a table that knows no places."""
    return SpanTable({}, {})


@frozen
class Parsed:
    """Plain data, or the problems met, or both where the rest could still be read."""

    data: dict[str, Any] | None
    build: Callable[[], SpanTable] = no_places
    problems: tuple[Problem, ...] = ()
    damaged: frozenset[DocPath] = field(factory=frozenset)
    """Tables in which a line could not be read, so that a missing key may not be missing."""
