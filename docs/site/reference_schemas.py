"""Pages of the JSON Schemas: every table of a document, with keys, kinds and limits."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from make_key_tables import NOTES
from markdown_text import cell, table

import bridgewire

FOLDER = "reference/schemas/"
SCHEMAS = Path(bridgewire.__file__).parent / "schemas"
WHOLE = "The whole document"
Node = dict[str, Any]
_BOUNDS = (
    ("minimum", "from {:.10g}"),
    ("exclusiveMinimum", "above {:.10g}"),
    ("maximum", "to {:.10g}"),
    ("exclusiveMaximum", "below {:.10g}"),
    ("minLength", "at least {} characters"),
    ("maxLength", "at most {} characters"),
    ("minItems", "at least {}"),
    ("maxItems", "at most {}"),
    ("pattern", "of a pattern"),
)


def schema_files() -> list[Path]:
    """The shipped schemas, by name."""
    return sorted(SCHEMAS.glob("*.json"))


def schema_pages() -> dict[str, tuple[str, str]]:
    """Title and text by address; a list of all is the first."""
    rows, pages = [], {}
    for file in schema_files():
        schema: Node = json.loads(file.read_text(encoding="utf-8"))
        title = schema.get("title", file.stem)
        rows.append(f"| [{title}]({file.stem}.md) | `{file.name}` | {_text(schema)} |")
        pages[f"{FOLDER}{file.stem}.md"] = (file.stem, _page(schema, file))
    overview = (
        "# Schemas\n\nJSON Schemas (draft 2020-12) of the files that bridgewire reads and writes. "
        "They are in the package. `bridgewire schema` prints them, and says by `--help` which. "
        "They cover the shape of a file; names and wiring are checked by `bridgewire check`.\n\n"
        "| Schema | File | What it describes |\n|---|---|---|\n" + "\n".join(rows) + "\n"
    )
    return {f"{FOLDER}index.md": ("All schemas", overview), **pages}


def copy_schemas(site: Path) -> None:
    """Put the schemas themselves into the site."""
    for file in schema_files():
        target = site / FOLDER / file.name
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file, target)


def _page(schema: Node, file: Path) -> str:
    defs: Node = schema.get("$defs", {})
    parts = [f"# {schema.get('title', file.stem)}", _text(schema)]
    parts.append(f'<a href="{file.name}">{file.name}</a>, `$id` is `{schema.get("$id", "")}`.')
    top = file.stem.partition("-")[0].capitalize()
    parts += _keys(schema, WHOLE, NOTES.get(top, {}))
    bands = {name: node for name, node in defs.items() if _is_band(name)}
    for name, node in sorted(defs.items()):
        if name not in bands:
            parts += _keys(node, name, NOTES.get(name, {}))
    if bands:
        parts += ["## Bands", _text(next(iter(bands.values())))]
        parts.append("Each kind has its own limits for the values in it.")
        rows = [
            f'| <a id="{_slug(n)}"></a>`{n}` | {_band_limits(node)} |' for n, node in bands.items()
        ]
        parts.append("| Kind | Values |\n|---|---|\n" + "\n".join(rows))
    return "\n\n".join(part for part in parts if part) + "\n"


def _is_band(name: str) -> bool:
    return name.startswith("Band") and name != "Band"


def _band_limits(node: Node) -> str:
    options = node.get("anyOf") or node.get("oneOf") or [node]
    number = next((o for o in options if o.get("type") == "number"), {})
    return _limits(number) or "any number"


def _keys(node: Node, name: str, notes: dict[str, str]) -> Iterator[str]:
    yield f"## {name}"
    if name != WHOLE:
        yield _text(node)
    properties: Node = node.get("properties", {})
    if not properties:
        yield _kind(node)
        return
    required = node.get("required", [])
    rows = [
        (
            f"**`{key}`**" if key in required else f"`{key}`",
            _kind(value),
            _limits(value),
            _text(value) or notes.get(key, "").replace("](#", "](../../show-file.md#"),
        )
        for key, value in properties.items()
    ]
    yield table(("Key", "Kind", "Limits", "Meaning"), rows)
    remarks = ["Keys in bold are required."] if required else []
    if node.get("additionalProperties") is False:
        remarks.append("No other keys.")
    if any(word in node for word in ("allOf", "anyOf", "oneOf", "if", "dependentRequired")):
        remarks.append("Further conditions tie keys together; see the schema.")
    yield " ".join(remarks)


def _kind(node: Any) -> str:
    """What a value is, in words and links."""
    if not isinstance(node, dict):
        return "anything" if node else "nothing"
    if "$ref" in node:
        name = node["$ref"].rsplit("/", 1)[-1]
        return f"[{name}](#{_slug(name)})"
    if "const" in node:
        return f"`{json.dumps(node['const'])}`"
    if "enum" in node:
        return ", ".join(f"`{json.dumps(v, ensure_ascii=False)}`" for v in node["enum"])
    for word in ("anyOf", "oneOf"):
        if word in node:
            kinds = list(dict.fromkeys(_kind(option) for option in node[word]))
            return " or ".join(kinds)
    kind = node.get("type", "anything")
    if kind == "array":
        items = node.get("items", node.get("prefixItems"))
        if isinstance(items, list):
            return "list of " + ", ".join(_kind(i) for i in items)
        return f"list of {_kind(items)}" if items is not None else "list"
    if kind == "object" and isinstance(node.get("additionalProperties"), dict):
        return f"table of {_kind(node['additionalProperties'])}"
    words = {"string": "text", "object": "table", "boolean": "true or false", "null": "null",
             "integer": "whole number"}  # fmt: skip
    kinds = kind if isinstance(kind, list) else [kind]
    return " or ".join(words.get(k, k) for k in kinds)


def _limits(node: Any) -> str:
    if not isinstance(node, dict):
        return ""
    found = [words.format(node[key]) for key, words in _BOUNDS if key in node]
    return cell(", ".join(found))


def _text(node: Any) -> str:
    return cell(node.get("description", "")) if isinstance(node, dict) else ""


def _slug(name: str) -> str:
    return name.lower().replace(".", "")
