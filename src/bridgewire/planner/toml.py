"""A show as TOML text that a person can read and change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from bridgewire.documents.toml_values import toml_key, toml_value

HEADINGS = {
    "position": "Where things stand.",
    "box": "Boxes.",
    "strip": "Strips.",
    "splitter": "Splitters.",
    "run": "Cable: one table for each run, in the order of the outputs.",
    "drum": "Cable in stock, to cut runs from.",
    "igniter": "Igniters on their terminals.",
    "cue": "Cues.",
}


def toml_text(data: Mapping[str, Any], comments: tuple[str, ...] = ()) -> str:
    """Write a show.

    Parameters
    ----------
    data : mapping
        Plain data: tables, lists of tables, texts, numbers, truths and dates.
    comments : tuple of str
        Lines for the head of the file.

    Examples
    --------
    >>> print(toml_text({"format": 1, "site": {"ambient_C": {"min": 1, "max": 2}}}), end="")
    format = 1
    <BLANKLINE>
    [site]
    ambient_C = { min = 1, max = 2 }
    """
    lines = [f"# {line}".rstrip() for line in comments]
    if lines:
        lines.append("")
    lines += [f"{k} = {toml_value(v)}" for k, v in data.items() if not _is_table(v)]
    for key, value in data.items():
        if isinstance(value, Mapping):
            lines += ["", f"[{toml_key(key)}]", *_pairs(value)]
    for key, value in data.items():
        if _is_table(value) and not isinstance(value, Mapping):
            if key in HEADINGS:
                lines += ["", f"# {HEADINGS[key]}"]
            for item in value:
                lines += ["", f"[[{toml_key(key)}]]", *_pairs(item)]
    return "\n".join(lines) + "\n"


def _is_table(value: Any) -> bool:
    if isinstance(value, Mapping):
        return True
    return isinstance(value, list) and bool(value) and all(isinstance(v, Mapping) for v in value)


def _pairs(table: Mapping[str, Any]) -> Iterator[str]:
    for key, value in table.items():
        yield f"{toml_key(key)} = {toml_value(value)}"
