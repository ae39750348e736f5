"""Tells shows and kit profiles from other files, also where they have slips of the keyboard."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Literal

from bridgewire.documents.limits import MAX_BYTES

Kind = Literal["show", "kit"]

_TOML_HEADER = re.compile(r"^[ \t]*\[", re.M)
_TOML_TABLE = re.compile(r"""^[ \t]*\[\[?[ \t]*["']?([A-Za-z_]+)""", re.M)
_TOML_KEY = re.compile(r"""^[ \t]*["']?([A-Za-z_]+)["']?[ \t]*=""", re.M)
_YAML_KEY = re.compile(r"""^["']?([A-Za-z_]+)["']?[ \t]*:""", re.M)
# A string that never closes is one token: to look into it again at every quote takes for ever.
_JSON_TOKEN = re.compile(r'"((?:[^"\\]|\\.)*+)(?:"(\s*:)?)?|[\[\]{}]')


def document_kind(path: Path) -> Kind | None:
    """Tell what a file describes, by its first keys.

    Parameters
    ----------
    path : Path
        A ``.toml``, ``.yaml``, ``.yml`` or ``.json`` file.

    Returns
    -------
    str or None
        ``show``: it has ``kits`` and one of ``format`` and ``title``; ``kit``: it has ``format``
        and ``id``, and no ``kits``; None for anything else, such as a bench record, which has
        ``trial``, or a plan site, which has ``wanted``. A file with a syntax error counts by
        the keys that can be seen, so that a broken show is a test that fails and not one that is
        missing.

    Examples
    --------
    >>> from bridgewire.kits.discovery import shipped_profiles_dir
    >>> document_kind(shipped_profiles_dir() / "generic.toml")
    'kit'
    """
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES)
    except OSError:
        return None
    keys = _keys(raw.decode("utf-8", "replace").removeprefix("\ufeff"), path.suffix.lower())
    if keys & {"trial", "wanted"}:
        return None
    if "kits" in keys:
        return "show" if keys & {"format", "title"} else None
    return "kit" if keys >= {"format", "id"} else None


def _keys(text: str, ending: str) -> set[str]:
    if ending == ".json":
        try:
            data = json.loads(text)
        except (ValueError, RecursionError):
            return _outer_json_keys(text)
        return set(data) if isinstance(data, dict) else set()
    if ending == ".toml":
        header = _TOML_HEADER.search(text)
        keys = set(_TOML_KEY.findall(text[: header.start()] if header else text))
        return keys | set(_TOML_TABLE.findall(text))
    return set(_YAML_KEY.findall(text))


def _outer_json_keys(text: str) -> set[str]:
    """Keys of the outermost table of a text that is no JSON, as far as brackets tell."""
    keys: set[str] = set()
    depth = 0
    for token in _JSON_TOKEN.finditer(text):
        if token[0] in ("{", "["):
            depth += 1
        elif token[0] in ("}", "]"):
            depth -= 1
        elif depth == 1 and token[2]:
            keys.add(token[1])
    return keys
