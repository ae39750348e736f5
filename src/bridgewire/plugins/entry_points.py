"""Finds the entry points of the group ``bridgewire`` without importing anything of them."""

from __future__ import annotations

import importlib
import re
from typing import TYPE_CHECKING

from bridgewire.kits.installed import metadata_folders
from bridgewire.plugins.plugin_set import Plugin, PluginState

if TYPE_CHECKING:
    from pathlib import Path

GROUP = "bridgewire"
_VALUE = re.compile(r"(?P<module>[\w.]+)\s*(?::\s*(?P<attribute>[\w.]+))?\s*(?:\[.*\])?")


def find_plugins() -> tuple[Plugin, ...]:
    """List the plugins of installed packages, none of them loaded.

    Returns
    -------
    tuple of Plugin
        By name; one whose metadata cannot be read is broken and stops nothing.

    Examples
    --------
    >>> isinstance(find_plugins(), tuple)
    True
    """
    found = [p for folder in metadata_folders(GROUP) for p in _offered(folder)]
    return tuple(sorted(found, key=lambda p: (p.name, p.distribution)))


def _offered(metadata: Path) -> list[Plugin]:
    from importlib.metadata import PathDistribution

    distribution = PathDistribution(metadata)
    try:
        points = [p for p in distribution.entry_points if p.group == GROUP]
        name, version = str(distribution.metadata["Name"]), str(distribution.version)
    except Exception as error:  # damaged metadata of others
        problem = f"its metadata cannot be read: {type(error).__name__}: {error}"
        return [Plugin("", "", metadata.name, "", PluginState.BROKEN, problems=(problem,))]
    return [Plugin(point.name, point.value, name, version) for point in points]


def load_object(value: str) -> object:
    """Import what an entry point names.

    Raises
    ------
    Exception
        Whatever the import raises; ``ImportError`` for a value that is no module or attribute.
    """
    match = _VALUE.fullmatch(value.strip())
    if match is None:
        raise ImportError(f"{value!r} does not name a module")
    found: object = importlib.import_module(match["module"])
    for step in (match["attribute"] or "").split("."):
        if step:
            found = getattr(found, step)
    return found
