"""Two kit profiles side by side: entry by entry, value by value."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from attrs import frozen

from bridgewire.authoring.validation import entries_of
from bridgewire.diagnostics import DocPath
from bridgewire.kits.discovery import LoadedKit
from bridgewire.model.band import Band
from bridgewire.report.figures import number
from bridgewire.report.kit_gaps import Entry
from bridgewire.report.kit_page import entry_values, source_of
from bridgewire.report.plain_text import clip, columns, count, pad, visible, wrap


@frozen
class Row:
    """One value in both profiles."""

    item: str
    key: str
    first: str
    """Text with unit; empty where the profile does not state it."""
    second: str
    ratio: float | None
    """Typical value of the second over that of the first."""
    overlap: bool | None
    """Whether the bands have a value in common; None for what is no number."""
    first_origin: str
    second_origin: str

    @property
    def same(self) -> bool:
        """Whether both state the same."""
        return self.first == self.second


@frozen
class Comparison:
    """What two profiles have in common and what not."""

    first: str
    second: str
    rows: tuple[Row, ...]
    only_first: tuple[str, ...]
    only_second: tuple[str, ...]


def compare(first: LoadedKit, second: LoadedKit) -> Comparison:
    """Compare two profiles by the ids of their entries.

    Parameters
    ----------
    first, second : LoadedKit

    Returns
    -------
    Comparison

    Examples
    --------
    >>> from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
    >>> kit = find_kits(["generic"], [shipped_profiles_dir()])["generic"]
    >>> all(row.same for row in compare(kit, kit).rows)
    True
    """
    a = {item: (path, entry) for item, path, entry in entries_of(first.kit)}
    b = {item: (path, entry) for item, path, entry in entries_of(second.kit)}
    rows = [
        row for item in a if item in b for row in _rows(item, first, *a[item], second, *b[item])
    ]
    return Comparison(
        first.kit.id,
        second.kit.id,
        tuple(rows),
        tuple(item for item in a if item not in b),
        tuple(item for item in b if item not in a),
    )


def _rows(
    item: str,
    first: LoadedKit,
    path_a: DocPath,
    a: Entry,
    second: LoadedKit,
    path_b: DocPath,
    b: Entry,
) -> Iterator[Row]:
    texts_a, texts_b = dict(entry_values(a)), dict(entry_values(b))
    for key in dict.fromkeys([*texts_a, *texts_b]):
        if key == "extends":
            continue
        ratio, overlap = _related(_value(a, key), _value(b, key))
        yield Row(
            item,
            key,
            texts_a.get(key, ""),
            texts_b.get(key, ""),
            ratio,
            overlap,
            _origin(first, path_a, a, key) if key in texts_a else "",
            _origin(second, path_b, b, key) if key in texts_b else "",
        )


def _value(entry: Any, key: str) -> Any:
    for step in key.split("."):
        entry = getattr(entry, step, None)
    return entry


def _related(a: Any, b: Any) -> tuple[float | None, bool | None]:
    """Ratio of the typical values and whether the bands overlap."""
    bands = [_band(a), _band(b)]
    if bands[0] is None or bands[1] is None:
        return None, None
    x, y = bands[0], bands[1]
    ratio = y.typical / x.typical if x.typical else None
    return ratio, x.min <= y.max and y.min <= x.max


def _band(value: Any) -> Band | None:
    if isinstance(value, Band):
        return value
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    return Band.exact(float(value))


def _origin(loaded: LoadedKit, path: DocPath, entry: Entry, key: str) -> str:
    origin = loaded.origin_of((*path, *key.split(".")))
    return f"{origin}{source_of(entry, key)}".replace("  [", " [")


def comparison_text(
    found: Comparison, width: int = 100, *, everything: bool = False, origins: bool = False
) -> str:
    """Write a comparison as a table.

    Parameters
    ----------
    found : Comparison
    width : int
        Columns.
    everything : bool
        Whether values that are the same in both are shown too.
    origins : bool
        Whether to add where each value is written and its source.
    """
    shown = [r for r in found.rows if everything or not r.same]
    left = max((columns(r.key) for r in shown), default=3)
    left = min(max(left, 3), width // 3)
    each = max((width - left - 24) // 2, 8)
    lines: list[str] = []
    item = ""
    for row in shown:
        if row.item != item:
            item = row.item
            lines += ["", *wrap(visible(item), width)]
            head = (pad("", left), pad(clip(found.first, each), each), clip(found.second, each))
            lines.append(f"  {head[0]}  {head[1]}  {pad(head[2], each)}  ratio  bands".rstrip())
        ratio = "" if row.ratio is None else f"×{number(row.ratio)}"
        bands = {None: "", True: "overlap", False: "apart"}[row.overlap]
        cells = (
            pad(clip(visible(row.key), left), left),
            pad(clip(visible(row.first or "not stated"), each), each),
            pad(clip(visible(row.second or "not stated"), each), each),
            pad(ratio, 6),
        )
        lines.append(f"  {'  '.join(cells)} {bands}".rstrip())
        if origins:
            for kit, origin in ((found.first, row.first_origin), (found.second, row.second_origin)):
                if origin:
                    lines += wrap(visible(f"{kit}: {origin}"), width, "      ", "        ")
    if not found.rows:
        lines.append("No entry in common.")
    else:
        if not shown:
            lines.append("No entry of both profiles differs.")
        same = sum(1 for r in found.rows if r.same)
        lines += ["", f"{count(len(found.rows) - same, 'value')} not the same, {same} the same."]
    for kit, items in ((found.first, found.only_first), (found.second, found.only_second)):
        if items:
            lines += wrap(visible(f"Only in {kit}: {', '.join(items)}."), width)
    return "\n".join(lines).lstrip("\n") + "\n"
