"""JSON Schemas of kit profiles, shows, bench records and plan sites, generated from the model.

``python -m bridgewire.documents.schema --write`` writes them to ``bridgewire/schemas``. Editors
use them to complete and check documents. They hold every rule that JSON Schema can express; the
loaders check more (rising min, typical and max; keys that need or exclude one another).
"""

from __future__ import annotations

import datetime
import inspect
import json
import sys
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, get_args

from bridgewire.documents.cue_cells import COLUMNS
from bridgewire.documents.fields import (
    Key,
    choices_of,
    entry_tables,
    is_table,
    item_of,
    keys_of,
    tagged,
)
from bridgewire.documents.formats import CURRENT
from bridgewire.documents.ranges import ANY, RANGES, TEXT_PATTERNS, Range
from bridgewire.model.band import Band
from bridgewire.model.bench import BenchRecord
from bridgewire.model.kit import Kit
from bridgewire.model.plan_site import PlanSite
from bridgewire.model.show import CueList, Option, Show

DIALECT = "https://json-schema.org/draft/2020-12/schema"
DOCUMENTS: Mapping[str, type] = {"kit": Kit, "show": Show, "bench": BenchRecord, "site": PlanSite}
"""Name of a kind of document -> class of the model."""


def schemas_dir() -> Path:
    """Return the folder of the shipped schemas."""
    return Path(__file__).resolve().parent.parent / "schemas"


def schema_file(name: str) -> Path:
    """Return the shipped schema of a kind of document, one of `DOCUMENTS`.

    >>> schema_file("kit").name
    'kit-1.json'
    """
    return schemas_dir() / f"{name}-{CURRENT}.json"


def schema_of(name: str) -> dict[str, Any]:
    """Generate the JSON Schema (draft 2020-12) of a kind of document.

    Parameters
    ----------
    name : str
        ``kit``, ``show``, ``bench`` or ``site``.

    Returns
    -------
    dict
        The schema as plain data. Its ``$id`` is a name, not an address; nothing is fetched.

    Raises
    ------
    KeyError
        For any other name.

    Examples
    --------
    >>> schema_of("show")["$id"]
    'urn:bridgewire:schema:show:1'
    """
    cls = DOCUMENTS[name]
    definitions: dict[str, Any] = {}
    top = _table(cls, definitions)
    if cls is Kit:
        top |= _when_extending(top["properties"], definitions)
    top["properties"] = {"$schema": {"description": "For editors; not read."}, **top["properties"]}
    top["properties"]["format"] = {
        "const": CURRENT,
        "description": key_notes()[cls.__name__]["format"],
    }
    return {
        "$schema": DIALECT,
        "$id": f"urn:bridgewire:schema:{name}:{CURRENT}",
        "title": f"bridgewire {name}, format {CURRENT}",
        **top,
        "$defs": dict(sorted(definitions.items())),
    }


def schema_text(name: str) -> str:
    """Generate the text of a schema file."""
    return json.dumps(schema_of(name), indent=2, ensure_ascii=False) + "\n"


def _table(cls: type, definitions: dict[str, Any], prefix: str = "") -> dict[str, Any]:
    notes = key_notes()[cls.__name__]
    properties = {
        name: {**_shape(key.shape, cls, key, definitions, prefix), "description": notes[name]}
        for name, key in keys_of(cls).items()
    }
    return {
        "description": (inspect.getdoc(cls) or "").split("\n\n")[0].replace("\n", " "),
        "type": "object",
        "properties": properties,
        "required": [
            k.key for k in keys_of(cls).values() if k.required and (not prefix or k.key == "id")
        ],
        "additionalProperties": False,
    }


def _when_extending(properties: dict[str, Any], definitions: dict[str, Any]) -> dict[str, Any]:
    """Let entries that start from another leave out what they take over.

    In a profile that extends another any entry may; else those with a key ``extends``.
    """
    entries = {k: v["items"] for k, v in properties.items() if "$ref" in v.get("items", {})}
    classes = {c.__name__: c for c in entry_tables(Kit).values()}
    whole, partial = {}, {}
    for key, reference in entries.items():
        cls = classes[reference["$ref"].rsplit("/", 1)[1]]
        part = _reference(cls, definitions, "Partial")
        partial[key] = {"items": part}
        whole[key] = {"items": {"if": {"required": ["extends"]}, "then": part, "else": reference}}
        properties[key] = {k: v for k, v in properties[key].items() if k != "items"}
    return {
        "if": {"required": ["extends"]},
        "then": {"properties": partial},
        "else": {"properties": whole},
    }


def _reference(cls: type, definitions: dict[str, Any], prefix: str = "") -> dict[str, Any]:
    """Refer to the schema of a table; with a prefix to one in which only an id is required."""
    name = prefix + cls.__name__
    if name not in definitions:
        definitions[name] = {}
        definitions[name] = _table(cls, definitions, prefix)
    return {"$ref": f"#/$defs/{name}"}


def _shape(
    shape: Any, cls: type, key: Key, definitions: dict[str, Any], prefix: str = ""
) -> dict[str, Any]:
    within = RANGES.get((cls, key.attribute), ANY)
    choices = choices_of(shape)
    if choices is not None:
        return {"enum": list(choices)} if len(choices) > 1 else {"const": choices[0]}
    if shape is Band:
        return _band_reference(within, definitions)
    if shape in (int, float):
        return _number("integer" if shape is int else "number", within)
    if shape is bool:
        return {"type": "boolean"}
    if shape is datetime.date:
        return {"type": "string", "format": "date", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
    if shape is str:
        pattern = TEXT_PATTERNS.get((cls, key.attribute))
        return {"type": "string", "pattern": pattern[0]} if pattern else {"type": "string"}
    item = item_of(shape)
    if item is not None:
        one = _shape(item[0], cls, key, definitions)
        array = {"type": "array", "items": one}
        if key.or_one:
            return {"anyOf": [one, array]}
        return array if item[1] is None else {**array, "minItems": item[1], "maxItems": item[1]}
    kinds = tagged(shape)
    if kinds is not None:
        forms = [_reference(kind, definitions, prefix) for kind in kinds.values()]
        return {"anyOf" if prefix else "oneOf": forms}
    if is_table(shape):
        return _reference(shape, definitions, prefix)
    if shape == Option:
        return {"type": ["string", "number", "boolean"]}
    found: dict[str, Any] = {
        "type": "object",
        "additionalProperties": _shape(get_args(shape)[1], cls, key, definitions),
    }
    if (cls, key.attribute) == (CueList, "columns"):
        found["propertyNames"] = {"enum": list(COLUMNS)}
    return found


def _number(kind: str, within: Range) -> dict[str, Any]:
    found: dict[str, Any] = {"type": kind}
    if within.low > -float("inf"):
        found["exclusiveMinimum" if within.above else "minimum"] = within.low
    if within.high < float("inf"):
        found["maximum"] = within.high
    return found


def _band_reference(within: Range, definitions: dict[str, Any]) -> dict[str, Any]:
    """Refer to the bands of a range; each range is written once."""
    above = "Above" if within.above else "From"
    name = f"Band{above}{within.low:.10g}To{within.high:.10g}"
    definitions.setdefault(name, _band(within))
    return {"$ref": f"#/$defs/{name}"}


def _band(within: Range) -> dict[str, Any]:
    number = _number("number", within)

    def form(*required: str, **more: Any) -> dict[str, Any]:
        properties = {name: number for name in required if name not in more}
        return {
            "type": "object",
            "properties": {**properties, **more},
            "required": list(required),
            "additionalProperties": False,
        }

    tolerance = {"type": "number", "minimum": 0}
    return {
        "description": "A number, a number with a tolerance, or min, typical and max.",
        "anyOf": [
            number,
            form("typical", tol={**tolerance, "maximum": 1e9}),
            form("typical", tol_pct={**tolerance, "maximum": 100}),
            form("typical", min=number, max=number),
            form("min", "max"),
        ],
    }


@cache
def key_notes() -> Mapping[str, Mapping[str, str]]:
    """Read what every key means: class of the model, then key, then its meaning in Markdown.

    The tables of keys in the documentation and the descriptions in the schemas are made of it.
    """
    file = Path(__file__).with_name("key_notes.toml")
    found: Mapping[str, Mapping[str, str]] = tomllib.loads(file.read_text(encoding="utf-8"))
    return found


def main(arguments: list[str]) -> int:
    """Write the schema files, or tell whether they are stale."""
    stale = False
    for name in DOCUMENTS:
        file, text = schema_file(name), schema_text(name)
        if "--write" in arguments:
            file.parent.mkdir(exist_ok=True)
            file.write_text(text, encoding="utf-8")
        elif not file.is_file() or file.read_text(encoding="utf-8") != text:
            print(f"{file} is stale; run: python -m bridgewire.documents.schema --write")
            stale = True
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
