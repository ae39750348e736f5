"""What a profile has taken over from others, for a person."""

from __future__ import annotations

from collections import defaultdict

from bridgewire.authoring.validation import entries_of
from bridgewire.kits.discovery import LoadedKit
from bridgewire.report.kit_page import entry_values
from bridgewire.report.plain_text import visible, wrap


def inherited_text(loaded: LoadedKit, width: int = 80) -> str:
    """Tell where the values of a profile that extends others are written.

    Parameters
    ----------
    loaded : LoadedKit
    width : int
        Columns.

    Returns
    -------
    str
        Each entry with its values by profile and line; empty where nothing is taken over.

    Examples
    --------
    >>> from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
    >>> inherited_text(find_kits(["generic"], [shipped_profiles_dir()])["generic"])
    ''
    """
    if not loaded.extended:
        return ""
    files = {o.kit_id: o.file for o in loaded.origins.values()}
    lines = ["Where the values are written"]
    for kit_id, file in files.items():
        lines += wrap(visible(f"{kit_id}: {file}"), width, "  ", "    ")
    for item, path, entry in entries_of(loaded.kit):
        by_kit: dict[str, list[str]] = defaultdict(list)
        for key, _ in entry_values(entry):
            origin = loaded.origin_of((*path, *key.split(".")))
            by_kit[origin.kit_id].append(f"{key} (line {origin.line})")
        lines += ["", *wrap(visible(item), width)]
        for kit_id, keys in by_kit.items():
            lines += wrap(visible(f"{kit_id}: {', '.join(keys)}"), width, "  ", "    ")
    return "\n".join(lines) + "\n"
