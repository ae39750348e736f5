"""What a document may hold at most, so that a hostile or damaged file cannot take the machine."""

from __future__ import annotations

from typing import Any

from bridgewire.diagnostics import DocPath

MAX_BYTES = 20_000_000
"""Largest file that is read at all."""
MAX_DEPTH = 64
"""Deepest nesting of tables and lists."""
MAX_VALUES = 200_000
"""Most values in one document, aliases counted as often as they are used."""
MAX_TEXT = 10_000
"""Most characters of one string, key or cell."""
MAX_RESULT_ROWS = 2_000
"""Most rows of a filled-in form of bench trials."""
MAX_BRIDGES_ON_WAY = 256
"""Most igniters on one way, those of an entry with a count counted as many; memory grows with
their square."""
MAX_PULSES = 20_000
"""Most pulses of a show, repeats counted."""
MAX_SEPARATORS = 1_000_000
"""Most commas plus line ends in one text; more cannot stay below `MAX_VALUES` in earnest."""
MAX_SURVEYED = 500_000
"""Longest damaged text, in characters, that is searched for more than its first error."""
MAX_FINDINGS = 500
"""Most problems shown for one document."""
MAX_SNIPPET = 400
"""Longest piece of a source line kept with a location."""


def too_deep_message() -> str:
    """Say that nesting goes too deep."""
    return f"tables and lists are nested more than {MAX_DEPTH} deep"


def too_many_message() -> str:
    """Say that there are too many values."""
    return f"the document holds more than {MAX_VALUES:,} values"


def too_long_message() -> str:
    """Say that a text is too long."""
    return f"a text is longer than {MAX_TEXT:,} characters"


def first_excess(data: dict[str, Any]) -> tuple[DocPath, str] | None:
    """Find the first place where plain data are too deep, too many, or a text is too long.

    Parameters
    ----------
    data : dict
        Plain data of a document.

    Returns
    -------
    tuple of DocPath and str, or None
        The place and what is wrong; None where the data stay within the limits.

    Examples
    --------
    >>> first_excess({"a": [1, 2]}) is None
    True
    """
    stack: list[tuple[Any, DocPath]] = [(data, ())]
    count = 0
    while stack:
        container, path = stack.pop()
        if len(path) >= MAX_DEPTH:
            return path, too_deep_message()
        count += len(container)
        if count > MAX_VALUES:
            return path, too_many_message()
        is_table = isinstance(container, dict)
        if is_table and any(len(key) > MAX_TEXT for key in container):
            return path, too_long_message()
        for key, value in container.items() if is_table else enumerate(container):
            if isinstance(value, (dict, list)):
                stack.append((value, (*path, key)))
            elif isinstance(value, str) and len(value) > MAX_TEXT:
                return (*path, key), too_long_message()
    return None
