"""The show files that a command line asks for: files, and folders with shows in them."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

import click

_LEFT_OUT = frozenset(("__pycache__", "node_modules", "build", "dist"))


def show_files(arguments: Sequence[str]) -> tuple[str, ...]:
    """Find the files to check.

    Parameters
    ----------
    arguments : sequence of str
        Files are taken as they are, whether they exist or not. Of folders every show below them
        is taken: a TOML, YAML or JSON file with the key ``kits`` and one of ``format`` and
        ``title``. Kit profiles, bench records and other files are left out, and so are folders
        whose name starts with a dot.

    Returns
    -------
    tuple of str
        Each file once: folders in the order named, the files of each by path.

    Raises
    ------
    click.UsageError
        If a folder has no show in it: a check of nothing would pass.
    """
    files: dict[str, None] = {}
    for argument in arguments:
        path = Path(argument)
        if not os.path.isdir(path):  # also where the folder above may not be looked into
            files[argument] = None
            continue
        found = shows_below(path)
        if not found:
            raise click.UsageError(
                f"there is no show in the folder {argument!r}: no TOML, YAML or JSON file with the "
                "keys format, title and kits"
            )
        files.update(dict.fromkeys(str(p) for p in found))
    return tuple(files)


def shows_below(folder: Path) -> list[Path]:
    """Every show in a folder and the folders in it, in order of path.

    Parameters
    ----------
    folder : Path
        Links to folders are not followed.
    """
    from bridgewire.documents.document_kind import document_kind
    from bridgewire.documents.opened import PARSERS

    found = []
    for path in folder.rglob("*"):
        inner = path.relative_to(folder).parts[:-1]
        if any(part.startswith(".") or part in _LEFT_OUT for part in inner):
            continue
        if path.suffix.lower() in PARSERS and path.is_file() and document_kind(path) == "show":
            found.append(path)
    return sorted(found, key=lambda p: p.relative_to(folder).parts)
