"""Finds the files that may be kit profiles, and reads their ids without parsing them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from bridgewire.documents.limits import MAX_BYTES
from bridgewire.documents.opened import PARSERS

_HEAD_BYTES = 64_000
_TOML_ID = re.compile(r"""^[ \t]*(?:id|"id"|'id')[ \t]*=[ \t]*(["'])(.*?)\1""", re.M)
_TOML_KITS = re.compile(r"""^[ \t]*["']?kits["']?[ \t]*=""", re.M)
_TOML_HEADER = re.compile(r"^[ \t]*\[", re.M)
_YAML_ID = re.compile(r"""^(?:id|"id"|'id')[ \t]*+:[ \t]++([^#\n]*+)""", re.M)
_YAML_KITS = re.compile(r"""^["']?kits["']?[ \t]*:""", re.M)


def profile_files(folders: Sequence[Path]) -> Iterator[tuple[Path, str]]:
    """Yield the files that may be profiles with their ids; an empty id where none was seen.

    A file among the folders stands for itself.
    """
    seen: set[Path] = set()
    for folder in folders:
        listed = sorted(folder.iterdir()) if folder.is_dir() else [folder]
        for path in listed:
            if path.suffix.lower() not in PARSERS or not path.is_file():
                continue
            whole = path.resolve()
            if whole in seen:
                continue
            seen.add(whole)
            head = id_at_head(path)
            if head is not None:
                yield path, head


def id_at_head(path: Path) -> str | None:
    """Read the id without parsing; empty where there is none to see, None for a show."""
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES if path.suffix.lower() == ".json" else _HEAD_BYTES)
    except OSError:
        return ""
    text = raw.decode("utf-8", "replace").removeprefix("\ufeff")
    ending = path.suffix.lower()
    if ending == ".json":
        return _json_id(text)
    if ending == ".toml":
        header = _TOML_HEADER.search(text)
        text = text[: header.start()] if header else text
        is_show, found = _TOML_KITS.search(text), _TOML_ID.search(text)
    else:
        is_show, found = _YAML_KITS.search(text), _YAML_ID.search(text)
    if is_show:
        return None
    if not found:
        return ""
    return found.group(2) if ending == ".toml" else _unquoted(found.group(1).strip(" \t\r"))


def _unquoted(text: str) -> str:
    quoted = len(text) > 1 and text[0] in "\"'" and text[-1] == text[0]
    return text[1:-1] if quoted else text


def _json_id(text: str) -> str | None:
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return ""
    if not isinstance(data, dict) or "kits" in data:
        return None
    named = data.get("id")
    return named if isinstance(named, str) else ""
