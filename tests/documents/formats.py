"""Writes plain data in each of the formats, for tests."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import yaml

ENDINGS = ("toml", "yaml", "json")


def toml_text(data: Mapping[str, Any]) -> str:
    """Write data as TOML, all below the top in inline form."""
    return "".join(f"{_quoted(k)} = {_inline(v)}\n" for k, v in data.items())


def _inline(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_quoted(k)} = {_inline(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_inline(v) for v in value) + "]"
    if isinstance(value, float) and value != value:
        return "nan"
    if isinstance(value, float) and value in (float("inf"), -float("inf")):
        return f"{value}"
    return _quoted(value) if isinstance(value, str) else json.dumps(value)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def write(folder: Path, name: str, data: Mapping[str, Any], ending: str) -> Path:
    """Write data to a file in the format that its ending names."""
    if ending == "toml":
        text = toml_text(data)
    elif ending == "yaml":
        text = yaml.safe_dump(dict(data), sort_keys=False)
    else:
        text = json.dumps(data, indent=1)
    file = folder / f"{name}.{ending}"
    file.write_text(text, encoding="utf-8")
    return file
