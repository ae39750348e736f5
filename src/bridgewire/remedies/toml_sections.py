"""Edits of a TOML text section by section, for texts whose lists of tables are interleaved.

tomlkit puts all ``[[run]]`` of a document together when it writes them. Here a text is cut before
every header of a table of the document; each piece is a document of its own, is changed by
itself, and stays where it stood.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from attrs import define, evolve

from bridgewire.remedies.edits import Append, Edit, Remove, Set

_HEADER = re.compile(
    r"^[ \t]*(\[\[?)[ \t]*([A-Za-z0-9_-]+)[ \t]*\]\]?[ \t]*(?:#.*)?$", re.MULTILINE
)


@define
class _Section:
    name: str
    """Empty for what stands before the first header."""
    listed: bool
    text: str
    tail: str
    """Blank lines and comments at its end, which belong to what follows."""


def edited_by_sections(
    text: str, edits: Sequence[Edit], edited: Callable[[str, Sequence[Edit]], str]
) -> str | None:
    """Make edits in a text, each in the section that it is about.

    Parameters
    ----------
    text : str
        TOML with line ends ``\\n``.
    edits : sequence of Edit
        Sets first, then appended and removed things, whatever their order here.
    edited : callable
        Makes edits in a text that is one section.

    Returns
    -------
    str or None
        None where the text cannot be cut so, or an edit is about no section.
    """
    sections = _sections(text)
    if sections is None:
        return None
    own: dict[int, list[Edit]] = {}
    gone: list[int] = []
    new: list[Append] = []
    for edit in edits:
        if isinstance(edit, Append) and len(edit.path) == 1:
            new.append(edit)
            continue
        place = _place(sections, edit)
        if place is None:
            return None
        if isinstance(edit, Remove) and len(edit.path) == 2 and isinstance(edit.path[1], int):
            gone.append(place)
            continue
        path = edit.path
        if sections[place].listed:
            path = (path[0], 0, *path[2:])
        own.setdefault(place, []).append(evolve(edit, path=path))
    for place, some in own.items():
        sections[place].text = edited(sections[place].text, some)
    for append in new:
        same = [n for n, s in enumerate(sections) if s.name == append.path[0] and s.listed]
        place = same[-1] if same else len(sections) - 1
        before = sections[place].text
        more = edited("", [append]).strip("\n")
        gap = "\n" if before.endswith("\n") else "\n\n"
        sections[place].text = f"{before}{gap}{more}\n"
    return "".join(("" if n in gone else s.text) + s.tail for n, s in enumerate(sections))


def _sections(text: str) -> list[_Section] | None:
    """The pieces of a text; None where one of them is no document about its own table only."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    heads = list(_HEADER.finditer(text))
    starts = [0, *(h.start() for h in heads)]
    found = []
    for start, end, head in zip(starts, [*starts[1:], len(text)], [None, *heads], strict=True):
        piece = text[start:end]
        cut = len(piece) if head is None else _end_of_body(piece)
        name = "" if head is None else head[2]
        try:
            keys: list[Any] = list(tomlkit.parse(piece))
        except TOMLKitError:
            return None
        if head is not None and keys != [name]:
            return None
        found.append(_Section(name, head is not None and head[1] == "[[", piece[:cut], piece[cut:]))
    return found


def _end_of_body(piece: str) -> int:
    """Where the blank lines and comments at the end of a piece begin."""
    lines = piece.splitlines(keepends=True)
    while len(lines) > 1 and lines[-1].strip()[:1] in ("", "#"):
        lines.pop()
    return sum(map(len, lines))


def _place(sections: Sequence[_Section], edit: Set | Append | Remove) -> int | None:
    name, *rest = edit.path
    if rest and isinstance(rest[0], int):
        same = [n for n, s in enumerate(sections) if s.listed and s.name == name]
        return same[rest[0]] if rest[0] < len(same) else None
    if not rest:
        return 0 if isinstance(edit, Set) else None
    tables = [n for n, s in enumerate(sections) if not s.listed and s.name == name]
    return tables[0] if len(tables) == 1 else None
