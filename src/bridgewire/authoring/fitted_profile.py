"""Writes a kit profile that was fitted to trials, and its samples, into a folder."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path

from bridgewire.authoring.draft import Draft
from bridgewire.authoring.entry_data import Entry
from bridgewire.authoring.toml_text import FileThereError, text_of, write_new
from bridgewire.bench.calibration.profile import FittedKit
from bridgewire.kits.discovery import load_kit_file


def fitted_text(kit: FittedKit) -> str:
    """The profile as commented TOML.

    Parameters
    ----------
    kit : FittedKit

    Returns
    -------
    str
    """
    entries = [
        Entry(table, dict(data), dict(kit.sources.get((table, str(data["id"])), {})))
        for table, data in kit.entries
    ]
    return text_of(Draft(dict(kit.head), list(kit.comments), entries))


def write_fitted(
    kit: FittedKit, folder: Path, kit_folders: Sequence[Path], *, replace: bool = False
) -> tuple[Path, ...]:
    """Write the profile and its samples.

    Parameters
    ----------
    kit : FittedKit
    folder : Path
        Must be there.
    kit_folders : sequence of Path
        Where the profiles are that it extends.
    replace : bool
        Whether files of these names may be replaced.

    Returns
    -------
    tuple of Path
        What was written: samples first, profile last.

    Raises
    ------
    FileThereError
        If a file of the name is there and `replace` is false; nothing is written then.
    InputError
        If the profile would not load; nothing is written then.
    OSError
        If a file cannot be written.
    """
    profile = folder / f"{kit.head['id']}.toml"
    texts = [(profile, fitted_text(kit))]
    if "samples" in kit.head:
        texts.insert(0, (folder / str(kit.head["samples"]), kit.samples))
    if not replace:
        for path, _ in texts:
            if path.exists():
                raise FileThereError(f"{path} is there already; use --force to replace it")
    with tempfile.TemporaryDirectory() as trial:
        for path, text in texts:
            Path(trial, path.name).write_text(text, encoding="utf-8")
        own = Path(trial, profile.name)
        load_kit_file(own, [p for p in kit_folders if p.resolve() != profile.resolve()])
    for path, text in texts:
        write_new(path, text, replace=replace)
    return tuple(path for path, _ in texts)
