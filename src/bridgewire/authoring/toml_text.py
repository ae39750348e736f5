"""A drafted profile as commented TOML, and writing it without harm to what is there."""

from __future__ import annotations

import os
import secrets
import textwrap
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from bridgewire.authoring.draft import AnswerProblem, Draft, DraftError
from bridgewire.diagnostics import format_path
from bridgewire.documents.problems import Problem
from bridgewire.documents.structure import structure
from bridgewire.documents.toml_format import parse_toml
from bridgewire.documents.toml_values import toml_key, toml_value
from bridgewire.errors import BridgewireError
from bridgewire.model.kit import Kit

_WIDTH = 98
_BANDS = ({"min", "typical", "max"}, {"typical", "tol"}, {"typical", "tol_pct"})


class FileThereError(BridgewireError):
    """A file of the name is there already."""


def profile_text(draft: Draft) -> str:
    """Write a profile as TOML with comments.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    str
        Reads back into just the draft's data; that is checked here.

    Raises
    ------
    DraftError
        If a value is beyond what a profile may hold.

    Examples
    --------
    >>> from bridgewire.authoring.entry_data import Entry
    >>> entry = Entry("contact", {"id": "plug", "rated_A": 5.0}, {"rated_A": "label"})
    >>> print(profile_text(Draft({"format": 1, "id": "club"}, [], [entry])))
    format = 1
    id = "club"
    <BLANKLINE>
    [[contact]]
    id = "plug"
    rated_A = 5.0
    [contact.sources]
    rated_A = "label"
    <BLANKLINE>
    """
    text = text_of(draft)
    _check(text, draft)
    return text


def text_of(draft: Draft) -> str:
    """Write a profile as TOML with comments, without asking whether it stands by itself.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    str
    """
    lines = [*(line for c in draft.comments for line in _comment(c))]
    lines += [f"{key} = {toml_value(value)}" for key, value in draft.head.items()]
    for entry in draft.entries:
        lines.append("")
        for remark in entry.remarks:
            lines += _comment(remark[0].upper() + remark[1:] + ".")
        if entry.unknown:
            lines += _comment("Not known: " + ", ".join(entry.unknown) + ".")
        lines.append(f"[[{entry.table}]]")
        lines += _table(entry.data, entry.table)
        if entry.sources:
            lines.append(f"[{entry.table}.sources]")
            lines += [f"{toml_key(k)} = {toml_value(v)}" for k, v in entry.sources.items()]
    return "\n".join(lines) + "\n"


def _check(text: str, draft: Draft) -> None:
    wanted = draft.data()
    parsed = parse_toml(text)
    assert not parsed.problems, parsed.problems
    assert parsed.data == wanted, "a profile does not read back as it was written"
    problems: list[Problem] = []
    structure(parsed.data, Kit, problems)
    if problems:
        raise DraftError(
            [
                AnswerProblem(
                    str(p.path[0]) if p.path else "",
                    p.path[1] if len(p.path) > 1 and isinstance(p.path[1], int) else 0,
                    "",
                    f"{format_path(p.path)}: {p.message}; expected: {p.expected}",
                )
                for p in problems
            ]
        )


def _comment(text: str) -> Iterator[str]:
    plain = "".join(c if c.isprintable() else " " for c in text)
    for line in textwrap.wrap(plain, _WIDTH - 2, break_long_words=False, break_on_hyphens=False):
        yield f"# {line}"


def _table(table: Mapping[str, Any], name: str) -> Iterator[str]:
    nested = {k: v for k, v in table.items() if isinstance(v, dict) and set(v) not in _BANDS}
    for key, value in table.items():
        if key not in nested:
            yield f"{toml_key(key)} = {toml_value(value)}"
    for key, value in nested.items():
        yield f"[{name}.{toml_key(key)}]"
        yield from _table(value, f"{name}.{toml_key(key)}")


def write_new(path: Path, text: str, *, replace: bool = False) -> None:
    """Write a file in one step: it is there whole, or not at all.

    Parameters
    ----------
    path : Path
        Its folder must be there.
    text : str
    replace : bool
        Whether a file of the name may be replaced.

    Raises
    ------
    FileThereError
        If a file of the name is there and `replace` is false.
    OSError
        If it cannot be written.

    Notes
    -----
    A file system without hard links, such as a memory stick's, gets a new file written straight
    to its place.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_new(Path(folder, "a.toml"), "format = 1\\n")
    ...     Path(folder, "a.toml").read_text()
    'format = 1\\n'
    """
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with beside.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        if replace:
            os.replace(beside, path)
            return
        try:
            os.link(beside, path)  # fails where the name is taken, without a moment in between
        except FileExistsError:
            raise _there(path) from None
        except OSError:  # memory sticks know no second name for a file
            try:
                with path.open("x", encoding="utf-8", newline="\n") as stream:
                    stream.write(text)
            except FileExistsError:
                raise _there(path) from None
    finally:
        beside.unlink(missing_ok=True)


def _there(path: Path) -> FileThereError:
    return FileThereError(f"{path} is there already; use --force to replace it")
