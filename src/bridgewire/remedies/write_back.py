"""Writes edits into a show's own files, with its comments and layout kept.

A TOML show is changed by tomlkit; a CSV cue list cell by cell. Shows in other formats, and cue
lists that a plugin reads, are refused.
"""

from __future__ import annotations

import codecs
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from bridgewire.diagnostics import format_path
from bridgewire.documents.csv_text import Cell, split_rows
from bridgewire.documents.cue_cells import COLUMNS
from bridgewire.errors import BridgewireError
from bridgewire.model.show import CueList, Show
from bridgewire.remedies.edits import Append, Edit, Remove, Set, path_order
from bridgewire.remedies.toml_sections import edited_by_sections


class WriteBackError(BridgewireError):
    """Edits cannot be written into the show's files."""


def write_back(
    file: Path,
    show: Show,
    own_cues: int,
    edits: Iterable[Edit],
    target: Path | None = None,
) -> dict[Path, bytes]:
    """Make edits in the text of a show and of its cue list; nothing is written.

    Parameters
    ----------
    file : Path
        The show.
    show : Show
        As read from it.
    own_cues : int
        How many of its cues stand in the show file itself; the others are in its cue list.
    edits : iterable of Edit
        Their paths count the cues of the list after the show's own.
    target : Path, optional
        Where the changed show is to go, if not in place. A cue list then goes beside it, under a
        name made from the target's, if it changes or the target is in another folder.

    Returns
    -------
    dict of Path to bytes
        New content of each file that changes.

    Raises
    ------
    WriteBackError
        If the show is no TOML, or its cue list no CSV file.
    """
    check_writable(file)
    target = file if target is None else target
    moved = target.resolve() != file.resolve()
    own: list[Edit] = []
    listed: list[Set | Remove] = []
    for edit in edits:
        if edit.path[:1] == ("cue",) and len(edit.path) > 1 and _index(edit) >= own_cues:
            if isinstance(edit, Append):
                raise WriteBackError(f"{format_path(edit.path)}: a cue list has no lists in it")
            listed.append(edit)
        else:
            own.append(edit)
    files: dict[Path, bytes] = {}
    if listed:
        path, raw, new_columns = _cue_list(file, show, own_cues, listed)
        own += [Set(("cue_list", "columns", k), heading) for k, heading in new_columns.items()]
    elif show.cue_list is not None and target.parent.resolve() != file.parent.resolve():
        path = file.parent / show.cue_list.file
        raw = path.read_bytes()
    if listed or (show.cue_list is not None and target.parent.resolve() != file.parent.resolve()):
        if moved:
            path = target.parent / f"{target.stem}-cues{path.suffix}"
            own.append(Set(("cue_list", "file"), path.name))
        files[path] = raw
    if own or moved:
        with file.open(encoding="utf-8-sig", newline="") as stream:
            text = stream.read()
        files[target] = toml_with(text, own).encode("utf-8")
    return files


def check_writable(file: Path) -> None:
    """Make sure that a show can be written back at all.

    Parameters
    ----------
    file : Path

    Raises
    ------
    WriteBackError
        If the show is no TOML, or what writes TOML is not installed.
    """
    if file.suffix.lower() != ".toml":
        raise WriteBackError(
            f"{file}: only TOML shows can be changed with their comments and layout kept; make "
            "the change by hand"
        )
    _tomlkit()


def _tomlkit() -> Any:
    try:
        import tomlkit
    except ImportError:
        raise WriteBackError("this needs the extra: pip install 'bridgewire[advise]'") from None
    return tomlkit


def _index(edit: Edit) -> int:
    step = edit.path[1]
    return step if isinstance(step, int) else -1


def toml_with(text: str, edits: Sequence[Edit]) -> str:
    """A TOML document with edits made; all that is not edited stays as it was written.

    Parameters
    ----------
    text : str
    edits : sequence of Edit

    Examples
    --------
    >>> print(toml_with("a = 1  # one\\n", [Set(("a",), 2)]), end="")
    a = 2  # one
    """
    tomlkit = _tomlkit()
    windows = "\r\n" in text
    plain = text.replace("\r\n", "\n")
    out = None
    if tomlkit.dumps(tomlkit.parse(plain)) != plain:  # it would move tables
        out = edited_by_sections(plain, edits, _edited)
    if out is None:
        out = _edited(plain, edits)
    return out.replace("\n", "\r\n") if windows else out


def _edited(text: str, edits: Sequence[Edit]) -> str:
    tomlkit = _tomlkit()
    document: Any = tomlkit.parse(text)
    for edit in edits:
        if isinstance(edit, Set):
            table = _at(document, edit.path[:-1])
            key = edit.path[-1]
            new = _item(edit.value)
            old = table.get(key)
            if old is not None and hasattr(old, "trivia"):
                new.trivia.comment = old.trivia.comment
                new.trivia.comment_ws = old.trivia.comment_ws
            table[key] = new
    appended: dict[tuple[str | int, ...], list[Mapping[str, Any]]] = defaultdict(list)
    for edit in edits:
        if isinstance(edit, Append):
            appended[edit.path].append(edit.item)
    removed = sorted((e.path for e in edits if isinstance(e, Remove)), key=path_order, reverse=True)
    for path, items in appended.items():
        parent = _at(document, path[:-1])
        if path[-1] not in parent:
            parent[path[-1]] = tomlkit.aot()
        for item in items:
            table = tomlkit.table()
            for key, value in item.items():
                table.add(key, _item(value))
            table.add(tomlkit.nl())
            parent[path[-1]].append(table)
    for path in removed:
        parent = _at(document, path[:-1])
        del parent[path[-1]]
        if isinstance(parent, list) and not parent:
            del _at(document, path[:-2])[path[-2]]
    return str(tomlkit.dumps(document))


def _item(value: Any) -> Any:
    import tomlkit

    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        for key, inner in value.items():
            table[key] = _item(inner)
        return table
    if isinstance(value, list | tuple):
        array = tomlkit.array()
        for inner in value:
            array.append(_item(inner))
        return array
    return tomlkit.item(value)


def _at(document: Any, path: Sequence[str | int]) -> Any:
    import tomlkit

    here = document
    for step in path:
        if isinstance(step, str) and step not in here:
            here[step] = tomlkit.table()
        here = here[step]
    return here


def _cue_list(
    file: Path, show: Show, own_cues: int, edits: Sequence[Set | Remove]
) -> tuple[Path, bytes, dict[str, str]]:
    """Change cells and take rows away; columns that the cue list lacks are added at its right."""
    listed = show.cue_list
    if listed is None or listed.importer is not None:
        raise WriteBackError(f"{file}: the cue list is no CSV file that can be changed")
    path = file.parent / listed.file
    raw = path.read_bytes()
    mark = codecs.BOM_UTF8 if raw.startswith(codecs.BOM_UTF8) else b""
    text = raw[len(mark) :].decode(listed.encoding)
    rows, _ = split_rows(text, listed.delimiter)
    names = [cell.text for cell in rows[0]]
    added: dict[str, str] = {}
    cells: dict[tuple[int, int], str] = {}
    gone: list[int] = []
    for edit in edits:
        row = _index(edit) - own_cues + 1
        if len(edit.path) == 2:
            gone.append(row)
            continue
        for key, value in _cells_of(edit):
            heading = listed.columns.get(key) or added.get(key)
            if heading is None and value is None:
                continue  # nothing is there to be taken away
            if heading is None:
                heading = key
                while heading in (*names, *added.values()):
                    heading += " "
                added[key] = heading
            column = [*names, *added.values()].index(heading)
            cells[row, column] = "" if value is None else _written(value, listed)
    for n, heading in enumerate(added.values()):
        cells[0, len(names) + n] = _quoted(heading, listed)
    changed = _with_cells(text, rows, cells, gone, listed)
    return path, mark + changed.encode(listed.encoding), added


def _cells_of(edit: Set | Remove) -> list[tuple[str, Any]]:
    """Columns that a value of a cue goes to, with what is written there; None for nothing."""
    inner = edit.path[2:]
    found = []
    for key, (place, _) in COLUMNS.items():
        if place[: len(inner)] == inner:
            value: Any = edit.value if isinstance(edit, Set) else None
            for step in place[len(inner) :] if isinstance(edit, Set) else ():
                value = value[step]
            found.append((key, value))
    if not found:
        raise WriteBackError(f"a cue list has no column for {'.'.join(map(str, inner))}")
    return found


def _written(value: Any, listed: CueList) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:.10g}".replace(".", listed.decimal)
    if isinstance(value, list | tuple):
        return _quoted(";".join(map(str, value)), listed)
    return _quoted(str(value), listed)


def _quoted(text: str, listed: CueList) -> str:
    if any(c in text for c in (listed.delimiter, '"', "\n", "\r")) or text != text.strip():
        return '"' + text.replace('"', '""') + '"'
    return text


def _with_cells(
    text: str,
    rows: Sequence[Sequence[Cell]],
    cells: Mapping[tuple[int, int], str],
    gone: Sequence[int],
    listed: CueList,
) -> str:
    """Put new texts into cells, take rows away; rows that are too short get delimiters."""
    changes: list[tuple[int, int, str]] = [_line(text, rows[row]) for row in gone]
    for (row, column), new in sorted(cells.items()):
        have = rows[row]
        if column < len(have):
            start, end = have[column].span
            changes.append((start, end if have[column].text else start, new))
            continue
        missing = column - max([len(have) - 1, *(c for r, c in cells if r == row and c < column)])
        start, end = have[-1].span
        at = end if have[-1].text else start
        changes.append((at, at, listed.delimiter * missing + new))
    out, position = "", 0
    for start, end, new in sorted(changes, key=lambda c: c[:2]):
        out += text[position:start] + new
        position = max(position, end)
    return out + text[position:]


def _line(text: str, row: Sequence[Cell]) -> tuple[int, int, str]:
    """The change that takes a whole row away, its line end included."""
    first, last = row[0].span[0], row[-1].span[1]
    start = max(text.rfind("\n", 0, first), text.rfind("\r", 0, first)) + 1
    rest = re.compile(r"[^\r\n]*(?:\r\n|\n|\r)?").match(text, last)
    return start, last if rest is None else rest.end(), ""
