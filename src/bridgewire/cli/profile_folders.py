"""Where the commands about kit profiles look for them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bridgewire.kits.discovery import LoadedKit


def profile_folders(kit_dirs: Iterable[str]) -> tuple[Path, ...]:
    """The current folder and its folder ``kits``, those named, and all that every show has too."""
    from bridgewire.kits.discovery import kit_folders
    from bridgewire.plugins.manager import load_plugins

    folders = kit_folders(Path.cwd() / "show", [Path(d) for d in kit_dirs])
    return (*folders, *load_plugins().kits)


def profile(kit_id: str, folders: Sequence[Path]) -> LoadedKit:
    """Find a profile that is named on the command line.

    Raises
    ------
    InputError
        If there is none, or it cannot be used; without the place in a list of kits, as no
        document names it.
    """
    from attrs import evolve

    from bridgewire.errors import InputError
    from bridgewire.kits.discovery import find_kits

    try:
        return find_kits([kit_id], folders)[kit_id]
    except InputError as error:
        found = (
            evolve(f, path=()) if f.location is None and f.path[:1] == ("kits",) else f
            for f in error.findings
        )
        raise InputError(tuple(found)) from None
