"""Finds installed packages by what their ``entry_points.txt`` says, importing nothing of them.

``importlib.metadata`` reads every file of every package and takes longer to import than this
takes to run, so it is left to those who have found something.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterator
from pathlib import Path

_ENDINGS = frozenset((".dist-info", ".egg-info"))
_MAX_BYTES = 1_000_000


def metadata_folders(group: str) -> Iterator[Path]:
    """Yield the metadata folders of packages with entry points of a group.

    Parameters
    ----------
    group : str
        Name of the group, e.g. ``bridgewire.kits``.

    Yields
    ------
    Path
        Each package once, in the order of ``sys.path``: the first of two versions is the one that
        Python uses. Packages that only a special importer can see (inside a zip file, for
        instance) are not found.

    Examples
    --------
    >>> list(metadata_folders("no.such.group"))
    []
    """
    header = re.compile(rb"^[ \t]*\[[ \t]*" + re.escape(group.encode()) + rb"[ \t]*\]", re.M)
    folders: set[str] = set()
    projects: set[str] = set()
    for entry in sys.path:
        folder = os.path.realpath(entry or os.curdir)
        if folder in folders:
            continue
        folders.add(folder)
        try:
            listed = sorted(os.listdir(folder))
        except OSError:
            continue
        for name in listed:
            if os.path.splitext(name)[1] not in _ENDINGS:
                continue
            project = name.split("-", 1)[0].lower()
            if project in projects:
                continue
            projects.add(project)
            try:
                with open(os.path.join(folder, name, "entry_points.txt"), "rb") as stream:
                    named = header.search(stream.read(_MAX_BYTES)) is not None
            except OSError:
                continue
            if named:
                yield Path(folder, name)
