"""Edits of a document: what a remedy would change, and nothing else.

Paths are those of the document before any edit, so that edits can be combined in any order:
values are set first, then items are appended, then things are removed.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping
from typing import Any, TypeAlias

from attrs import field, frozen

from bridgewire.diagnostics import DocPath, format_path

Plain: TypeAlias = Mapping[str, Any]


@frozen
class Set:
    """Give a key of a table a value, whether it had one or not."""

    path: DocPath
    value: Any = field(hash=False)


@frozen
class Append:
    """Put an item at the end of a list of tables, e.g. a run at ``("run",)``."""

    path: DocPath
    item: Plain = field(hash=False)


@frozen
class Remove:
    """Take away a key, or an item of a list."""

    path: DocPath


Edit: TypeAlias = Set | Append | Remove


class ConflictError(ValueError):
    """Two edits want different things of one place."""


def combined(*groups: Iterable[Edit]) -> tuple[Edit, ...]:
    """Put edits together; the same edit twice counts once.

    Raises
    ------
    ConflictError
        If two of them set one path to different values, or one changes what another removes.

    Examples
    --------
    >>> longer = Set(("cue", 0, "pulse_s"), 2.0)
    >>> combined([longer], [longer])
    (Set(path=('cue', 0, 'pulse_s'), value=2.0),)
    """
    kept: list[Edit] = []
    values: dict[DocPath, Any] = {}
    for edit in (e for group in groups for e in group):
        if edit in kept:
            continue
        if isinstance(edit, Set):
            if edit.path in values:
                raise ConflictError(f"{format_path(edit.path)} is set twice")
            values[edit.path] = edit.value
        kept.append(edit)
    for gone in (e.path for e in kept if isinstance(e, Remove)):
        for edit in kept:
            if not isinstance(edit, Remove) and edit.path[: len(gone)] == gone:
                raise ConflictError(f"{format_path(edit.path)} is changed and removed")
    return tuple(kept)


def edited(data: Plain, edits: Iterable[Edit]) -> dict[str, Any]:
    """A copy of a document with edits made.

    Parameters
    ----------
    data : mapping
        Plain data as parsed; not changed.
    edits : iterable of Edit
        Without conflicts, see `combined`.

    Returns
    -------
    dict

    Raises
    ------
    KeyError, IndexError
        If a path leads nowhere.

    Examples
    --------
    >>> show = {"cue": [{"id": "a", "pulse_s": 1.0}]}
    >>> edited(show, [Set(("cue", 0, "pulse_s"), 2.0), Append(("cue",), {"id": "b"})])
    {'cue': [{'id': 'a', 'pulse_s': 2.0}, {'id': 'b'}]}
    """
    edits = tuple(edits)
    out = dict(copy.deepcopy(dict(data)))
    for edit in edits:
        if isinstance(edit, Set):
            table = _at(out, edit.path[:-1], make=True)
            table[edit.path[-1]] = copy.deepcopy(edit.value)
    for edit in edits:
        if isinstance(edit, Append):
            parent = _at(out, edit.path[:-1], make=True)
            parent.setdefault(edit.path[-1], []).append(copy.deepcopy(dict(edit.item)))
    # From the end, so that indexes of what is still to go stay right.
    for path in sorted(
        (e.path for e in edits if isinstance(e, Remove)), key=path_order, reverse=True
    ):
        del _at(out, path[:-1])[path[-1]]
    return out


def _at(data: dict[str, Any], path: DocPath, *, make: bool = False) -> Any:
    here: Any = data
    for step in path:
        if make and isinstance(step, str) and isinstance(here, dict):
            here = here.setdefault(step, {})
        else:
            here = here[step]
    return here


def path_order(path: DocPath) -> tuple[tuple[int, str], ...]:
    """What sorts paths, with items of a list by their index."""
    return tuple((step, "") if isinstance(step, int) else (-1, step) for step in path)
