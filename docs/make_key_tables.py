"""Writes the tables of keys in docs/show-file.md, docs/kit-file.md,
docs/bench-record.md and docs/plan.md.

Type, unit, allowed values and whether a key is required come from the model; the meanings stand in
src/bridgewire/documents/key_notes.toml, of which the schemas are made too. A table goes between
``<!-- keys: Class -->`` and ``<!-- end -->``.
Run: python docs/make_key_tables.py
"""

from __future__ import annotations

import datetime
import re
import sys
from pathlib import Path
from typing import Any, get_args, get_origin

from bridgewire.documents.cue_cells import COLUMNS
from bridgewire.documents.fields import Key, choices_of, item_of, keys_of, tagged
from bridgewire.documents.ranges import ANY, RANGES, Range
from bridgewire.documents.schema import key_notes
from bridgewire.model import bench, kit, plan_site, show
from bridgewire.model.band import Band

FOLDER = Path(__file__).parent
PAGES = tuple(FOLDER / f"{name}.md" for name in ("show-file", "kit-file", "bench-record", "plan"))
NOTES = key_notes()
UNITS = {
    "_m": "m", "_mm": "mm", "_mm2": "mm²", "_awg": "AWG", "_s": "s", "_mm_per_s": "mm/s",
    "_V": "V", "_A": "A", "_Ah": "Ah", "_ohm": "Ω", "ohm_per_m": "Ω/m", "_F": "F", "_C": "°C",
    "_pct": "%", "_per_K": "1/K", "_J_per_K": "J/K", "_W_per_K": "W/K",
    "_mJ_per_ohm": "mJ/Ω", "_minute": "money/min", "_shift_s": "money/s", "per_m": "money/m",
    "minutes_per_m": "min/m", "minutes_per_run": "min", "minutes_per_part": "min",
    "minutes_per_igniter": "min", "per_output": "money", "price_each": "money",
}  # fmt: skip
_BLOCK = re.compile(r"(<!-- keys: (\w+) -->\n)(.*?)(<!-- end -->)", re.S)


def unit_of(key: str) -> str:
    """The unit that a key carries in its name: that of its longest known ending."""
    endings = [end for end in UNITS if key.endswith(end)]
    return UNITS[max(endings, key=len)] if endings else ""


def range_text(within: Range) -> str:
    """A range as a table shows it."""
    if within == ANY:
        return ""
    low = f"above {within.low:.10g}" if within.above else f"{within.low:.10g}"
    return f"{low} to {within.high:.10g}"


def type_text(shape: Any) -> str:
    """What a value is, in words."""
    if shape is Band:
        return "band"
    plain = {float: "number", int: "whole number", str: "text", bool: "true or false"}
    plain[datetime.date] = "date"
    if shape in plain:
        return plain[shape]
    if choices_of(shape) is not None:
        return "one of"
    item = item_of(shape)
    if item is not None:
        count = "" if item[1] is None else f"{item[1]} "
        words = {float: "numbers", str: "texts"}.get(item[0], "tables")
        return f"list of {count}{words}"
    if tagged(shape) is not None or get_origin(shape) is None:
        return "table"
    plain = {float: "numbers", str: "texts"}
    values = plain.get(get_args(shape)[1], "texts, numbers, true or false")
    return f"table of {values}"


def allowed_text(cls: type, key: Key) -> str:
    """Allowed values in words."""
    choices = choices_of(key.shape)
    if choices is not None:
        return ", ".join(f"`{c}`" for c in choices)
    if tagged(key.shape) is not None:
        return ", ".join(f'`kind = "{k}"`' for k in tagged(key.shape) or {})
    return range_text(RANGES.get((cls, key.attribute), ANY))


def table_text(name: str) -> str:
    """The table of one class, or of the columns of a cue list."""
    if name == "Columns":
        rows = [f"| `{c}` | {kind.expected} |" for c, (_, kind) in COLUMNS.items()]
        return "\n".join(("| Column | A cell holds |", "|---|---|", *rows)) + "\n"
    modules = (show, kit, bench, plan_site)
    cls = next(found for m in modules if (found := getattr(m, name, None)) is not None)
    notes = NOTES[name]
    if set(notes) != set(keys_of(cls)):
        odd = sorted(set(notes) ^ set(keys_of(cls)))
        raise ValueError(f"key_notes.toml, [{name}]: missing or too many: {', '.join(odd)}")
    lines = ["| Key | Type | Unit | Allowed | Meaning |", "|---|---|---|---|---|"]
    for text, key in keys_of(cls).items():
        shown = f"**`{text}`**" if key.required else f"`{text}`"
        unit = unit_of(text) if type_text(key.shape) not in ("text", "one of", "table") else ""
        kind = f"text, or {type_text(key.shape)}" if key.or_one else type_text(key.shape)
        cells = (shown, kind, unit, allowed_text(cls, key), notes[text])
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines) + "\n"


def page_text(text: str) -> str:
    """A page with its tables written anew."""
    return _BLOCK.sub(lambda m: m[1] + table_text(m[2]) + m[4], text)


def main(arguments: list[str]) -> int:
    """Write the tables, or with ``--check`` only tell whether they are stale."""
    stale = False
    for page in PAGES:
        old = page.read_text(encoding="utf-8")
        new = page_text(old)
        if "--check" not in arguments:
            page.write_text(new, encoding="utf-8")
        elif new != old:
            print(f"{page} is stale; run: python docs/make_key_tables.py")
            stale = True
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
