"""A kit profile for a person: every value with tolerance and source, and what follows from it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import attrs

from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, CableSpec, IgniterClass, Kit
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.igniter_data import heating
from bridgewire.report.figures import number
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.kit_gaps import Doubt, Entry, Gap, kit_entries
from bridgewire.report.plain_text import count, visible, wrap

_SKIPPED = ("id", "title", "sources")
_UNITS = {
    "_ohm": "Ω",
    "ohm_per_m": "Ω/m",
    "_per_K": "per K",
    "_per_m": "per m",
    "_J_per_K": "J/K",
    "_W_per_K": "W/K",
    "_mJ_per_ohm": "mJ/Ω",
    "_A": "A",
    "_V": "V",
    "_s": "s",
    "_m": "m",
    "_mm2": "mm²",
    "_C": "°C",
    "_F": "F",
    "_Ah": "Ah",
    "_pct": "%",
}


def kit_page(kit: Kit, file: str, width: int = 80, ink: Ink = PLAIN) -> str:
    """Write a profile: every entry, value, tolerance, source, and derived values.

    Parameters
    ----------
    kit : Kit
    file : str
        Where it was read from.
    width : int
    ink : Ink
    """
    lines = [
        ink(visible(f"{kit.id} {kit.version}: {kit.title}".strip()), "bold"),
        f"  {visible(file)}",
    ]
    for item, entry in kit_entries(kit):
        title = f"{item}: {entry.title}" if entry.title else item
        lines += ["", *(ink(line, "bold") for line in wrap(visible(title), width))]
        for key, text in entry_values(entry):
            source = source_of(entry, key)
            lines += wrap(visible(f"{text}{source}"), width, f"  {key}: ", "      ")
        for text in derived(entry):
            lines += wrap(visible(text), width, "  -> ", "      ")
    return "\n".join(lines) + "\n"


def entry_values(entry: Any, prefix: str = "") -> Iterator[tuple[str, str]]:
    """Dotted key and text of every value that an entry states.

    >>> list(entry_values(Band(1.0, 2.0, 4.0)))
    [('min', '1'), ('typical', '2'), ('max', '4')]
    """
    for a in attrs.fields(type(entry)):
        value = getattr(entry, a.name)
        if a.name in _SKIPPED or value is None or value == () or a.name == "stated":
            continue
        key = f"{prefix}{a.name}"
        if isinstance(value, Band):
            yield key, _band(value, _unit(a.name))
        elif attrs.has(type(value)):
            yield from entry_values(value, f"{key}.")
        elif isinstance(value, tuple):
            yield key, ", ".join(_item(v) for v in value)
        elif isinstance(value, float):
            yield key, f"{value:g} {_unit(a.name)}".rstrip()
        else:
            yield key, str(value)


def _item(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    if attrs.has(type(value)):
        return " / ".join(text for _, text in entry_values(value))
    return str(value)


def _unit(key: str) -> str:
    for ending in sorted(_UNITS, key=len, reverse=True):
        if key.endswith(ending):
            return _UNITS[ending]
    return ""


def _band(band: Band, unit: str) -> str:
    if not band.stated:
        return f"{number(band.typical)} {unit}".rstrip() + " (no tolerance stated)"
    ends = f"{number(band.min)} to {number(band.max)} {unit}".rstrip()
    return f"{ends}, typical {number(band.typical)}"


def source_of(entry: Entry, key: str) -> str:
    """Where a value comes from, in brackets; says so where a figure has no source."""
    source = entry.sources.get(key) or entry.sources.get("*")
    if source is not None:
        return f"  [{source}]"
    value: object = entry
    for step in key.split("."):
        value = getattr(value, step)
    figure = isinstance(value, Band | float) or (isinstance(value, tuple) and len(value) > 0)
    return "  [no source stated]" if figure else ""


def derived(entry: object) -> Iterator[str]:
    """What follows from an entry's values, as sentences."""
    if isinstance(entry, CableSpec):
        per_m = cable_ohm_per_m(entry)
        if per_m is not None:
            how = "stated" if entry.ohm_per_m is not None else "from metal and size"
            yield f"one conductor {_band(per_m, 'Ω/m')} at 20 °C ({how})"
            yield f"a pair of 100 m, there and back: {_band(per_m.scaled(200.0), 'Ω')}"
    elif isinstance(entry, IgniterClass):
        yield from _heating(entry)
    elif isinstance(entry, BoxKind):
        needed = entry.path.conductors_needed(entry.ways)
        yield f"needs {count(needed, 'conductor')} for all {entry.ways} ways of an output"


def _heating(klass: IgniterClass) -> Iterator[str]:
    try:
        found = heating(klass, Band.exact(20.0))
    except ModelRangeError as error:
        yield f"heating data cannot be used: {error}"
        return
    if found is None:
        yield "heating data missing; verdicts will be unknown"
        return
    yield f"heating at 20 °C from {found.basis} data:"
    for name, (amps, tau) in (
        ("slowest", found.slow),
        ("typical", found.typical),
        ("fastest", found.fast),
    ):
        yield f"{name}: threshold current I0 {number(amps)} A, time constant tau {number(tau)} s"
    if found.theta_lit_K is not None:
        yield f"temperature rise that lights: {_band(found.theta_lit_K, 'K')}"
    if found.sure_from_A:
        yield f"the data promise a light from {number(found.sure_from_A)} A up"


def gaps_text(
    kit: Kit,
    file: str,
    gaps: Sequence[Gap],
    doubts: Sequence[Doubt],
    width: int = 80,
    ink: Ink = PLAIN,
) -> str:
    """Write what a profile lacks and what looks wrong in it."""
    lines = [ink(visible(f"{file}: kit {kit.id} {kit.version}".rstrip()), "bold")]
    blocking = [g for g in gaps if g.blocks]
    open_ = [g for g in gaps if not g.blocks]
    lines += _gaps("Cannot be computed without", blocking, width, ink)
    lines += _gaps("Cannot be checked without", open_, width, ink)
    if doubts:
        lines += ["", ink(f"Hardly right ({len(doubts)})", "bold")]
        for d in doubts:
            lines += wrap(visible(f"{d.item}: {d.key} {d.why}"), width, "  ", "    ")
    if not gaps and not doubts:
        lines.append("  nothing missing, nothing implausible")
    return "\n".join(lines) + "\n"


def _gaps(title: str, gaps: Iterable[Gap], width: int, ink: Ink) -> list[str]:
    """Gaps of one kind, those of one item and reason together."""
    together: dict[tuple[str, str], list[str]] = defaultdict(list)
    for gap in gaps:
        together[gap.item, gap.prevents].append(gap.key)
    if not together:
        return []
    lines = ["", ink(f"{title} ({sum(len(k) for k in together.values())})", "bold")]
    for (item, prevents), keys in together.items():
        lines += wrap(visible(f"{item}: {', '.join(keys)} (for: {prevents})"), width, "  ", "    ")
    return lines


def kits_list(rows: Iterable[tuple[str, str, str, str]], width: int = 80) -> str:
    """List profiles: id, version, title, file."""
    lines: list[str] = []
    for kit_id, version, title, file in rows:
        lines += wrap(visible(f"{kit_id} {version}  {title}".rstrip()), width)
        lines.append(f"    {visible(file)}")
    return "\n".join(lines) + "\n" if lines else "no kit profiles found\n"
