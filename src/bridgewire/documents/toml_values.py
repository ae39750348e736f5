"""Keys and values as TOML text."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any


def toml_key(key: str) -> str:
    """Write a key, quoted where it must be.

    >>> toml_key("length_m"), toml_key("a b")
    ('length_m', '"a b"')
    """
    bare = key.isascii() and key.replace("_", "").replace("-", "").isalnum()
    return key if bare else toml_value(key)


def toml_value(value: Any) -> str:
    """Write a value on one line.

    Parameters
    ----------
    value : str, bool, int, float, date, mapping or list
        Of plain data, as `tomllib` gives it.

    Examples
    --------
    >>> toml_value({"min": 1, "on": True, "names": ["a", "é"]})
    '{ min = 1, on = true, names = ["a", "é"] }'
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        # TOML allows no DEL in a string; all else JSON writes alike.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, Mapping):
        inner = ", ".join(f"{toml_key(k)} = {toml_value(v)}" for k, v in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(toml_value, value)) + "]"
    return value.isoformat() if hasattr(value, "isoformat") else repr(value)
