"""Lays one table of a kit profile over another, field by field, keeping where each value stands.

Works on plain data before these are read into the model, so that a value which is wrong is still
found at the place where it is written. Tables within tables (``supply``, ``path``, ``pulses``) are
laid over one another field by field too; a band is one value, and so is an array.

Three things do not simply follow the field:

- A table whose ``kind`` (or ``map``) is another is replaced as a whole.
- A value that another one makes void goes: a cable of another gauge does not keep the resistance
  and the rated current of the old one, a list of pulses replaces a range (see `SUPERSEDES`).
- A source belongs to the value that it stands beside: it comes along with an inherited value, and
  does not stay when the value is overridden.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from attrs import field, frozen

from bridgewire.diagnostics import DocPath
from bridgewire.documents.fields import Key, is_table, keys_of, tagged
from bridgewire.documents.source import SourceMap
from bridgewire.model import kit

DISCRIMINATORS = ("kind", "map")
"""Keys of nested tables that say which other keys there can be."""

_SIZE = frozenset(("metal", "stranding", "gauge_awg", "area_mm2", "clad_copper_pct"))

SUPERSEDES: Mapping[type, tuple[tuple[frozenset[str], frozenset[str]], ...]] = {
    kit.CableSpec: (
        (_SIZE, frozenset(("ohm_per_m",))),
        (frozenset(("metal", "gauge_awg", "area_mm2", "clad_copper_pct")), frozenset(("rated_A",))),
        (frozenset(("gauge_awg",)), frozenset(("area_mm2",))),
        (frozenset(("area_mm2",)), frozenset(("gauge_awg",))),
        (frozenset(("metal",)), frozenset(("clad_copper_pct",))),
    ),
    kit.IgniterClass: (
        (
            frozenset(("threshold_A", "tau_s")),
            frozenset(("heat_capacity_J_per_K", "loss_W_per_K")),
        ),
        (
            frozenset(("heat_capacity_J_per_K", "loss_W_per_K")),
            frozenset(("threshold_A", "tau_s")),
        ),
        (frozenset(("after_fire",)), frozenset(("after_fire_ohm",))),
    ),
    kit.BatterySupply: (
        (frozenset(("open_circuit_V",)), frozenset(("charge_curve",))),
        (frozenset(("charge_curve",)), frozenset(("open_circuit_V",))),
    ),
    kit.PulseChoice: (
        (frozenset(("offered_s",)), frozenset(("min_s", "max_s", "step_s"))),
        (frozenset(("min_s", "max_s", "step_s")), frozenset(("offered_s",))),
    ),
}
"""By class: keys which, given another value, void inherited values of other keys.

What is void is missing, and reported as such; nothing else is put in its place.
"""


@frozen
class Origin:
    """The profile that a value was written in."""

    kit_id: str
    file: str
    spans: SourceMap = field(repr=False, eq=False)


@frozen
class Layer:
    """One entry as one profile writes it."""

    origin: Origin
    path: DocPath
    """Where the entry stands in its own document."""
    table: Mapping[str, Any]


@frozen
class Place:
    """Where a value stands: in which profile, under which path of that document."""

    origin: Origin
    path: DocPath


Places = dict[DocPath, Place]
"""Path within a merged entry -> place. A value without its own place stands in that of the nearest
table above it."""


def merged_entry(cls: type, layers: Sequence[Layer]) -> tuple[dict[str, Any], Places]:
    """Lay an entry's layers over one another.

    Parameters
    ----------
    cls : type
        Class of the model that the entry is read into.
    layers : sequence of Layer
        At least one; each goes over those before it.

    Returns
    -------
    dict
        Plain data of the entry.
    Places
        For every table and value of it.

    Examples
    --------
    >>> from bridgewire.documents.parsed import no_places
    >>> spans = SourceMap("a.toml", "", no_places)
    >>> base = {"id": "a", "contact_ohm": 0.1, "sources": {"*": "meter"}}
    >>> own = {"id": "b", "contact_ohm": 0.2}
    >>> layers = [Layer(Origin("k", "a.toml", spans), ("contact", i), t)
    ...           for i, t in enumerate((base, own))]
    >>> merged_entry(kit.Contact, layers)[0]
    {'id': 'b', 'contact_ohm': 0.2}
    """
    data: dict[str, Any] = {}
    places: Places = {}
    for layer in layers:
        stated = {k: v for k, v in layer.table.items() if k not in ("sources", "extends")}
        _overlay(cls, data, places, stated, layer, ())
    own = layers[-1]
    if "extends" in own.table:
        data["extends"] = own.table["extends"]
        places["extends",] = Place(own.origin, (*own.path, "extends"))
    if len(layers) == 1:
        if "sources" in own.table:
            _set(None, data, places, "sources", own.table["sources"], own, ())
    else:
        _sources(data, places, layers)
    return data, places


def _overlay(
    cls: type | None,
    data: dict[str, Any],
    places: Places,
    table: Mapping[str, Any],
    layer: Layer,
    inside: DocPath,
) -> None:
    """Lay a table of a layer over `data`, which stands at `inside` in the entry."""
    keys = keys_of(cls) if cls is not None else {}
    changed = {k for k, v in table.items() if k not in data or data[k] != v}
    for triggers, void in SUPERSEDES.get(cls, ()) if cls is not None else ():
        if triggers & changed:
            for key in (void - set(table)) & set(data):
                _remove(data, places, key, inside)
    places[inside] = Place(layer.origin, (*layer.path, *inside))
    for key, value in table.items():
        nested = _nested_class(keys.get(key), data.get(key), value)
        if nested is not None and not _other_kind(data[key], value):
            _overlay(nested, data[key], places, value, layer, (*inside, key))
        else:
            _remove(data, places, key, inside)
            _set(keys.get(key), data, places, key, value, layer, inside)


def _nested_class(key: Key | None, old: Any, new: Any) -> type | None:
    """Return the class of a table within a table; None where values are not to be merged."""
    if key is None or not isinstance(old, dict) or not isinstance(new, dict):
        return None
    if is_table(key.shape):
        shape: type = key.shape
        return shape
    kinds = tagged(key.shape)
    if kinds is None:
        return None
    kind = new.get("kind", old.get("kind"))
    return kinds.get(kind) if isinstance(kind, str) else None


def _other_kind(old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    return any(k in old and k in new and old[k] != new[k] for k in DISCRIMINATORS)


def _remove(data: dict[str, Any], places: Places, key: str, inside: DocPath) -> None:
    if data.pop(key, None) is None:
        return
    path = (*inside, key)
    for known in [p for p in places if p[: len(path)] == path]:
        del places[known]


def _set(
    key: Key | None,
    data: dict[str, Any],
    places: Places,
    name: str,
    value: Any,
    layer: Layer,
    inside: DocPath,
) -> None:
    data[name] = copy.deepcopy(value)
    for path in _tables(key, value, (*inside, name)):
        places[path] = Place(layer.origin, (*layer.path, *path))


def _tables(key: Key | None, value: Any, path: DocPath) -> Iterator[DocPath]:
    """Yield the path of a value, and of those in it where it is a table of the model."""
    yield path
    if key is None or not isinstance(value, dict):
        return
    kinds = tagged(key.shape)
    cls = key.shape if is_table(key.shape) else None
    if kinds is not None:
        kind = value.get("kind")
        cls = kinds.get(kind) if isinstance(kind, str) else None
    if cls is not None:
        for name, item in value.items():
            yield from _tables(keys_of(cls).get(name), item, (*path, name))


def leaves(data: Mapping[str, Any], places: Places, inside: DocPath = ()) -> Iterator[DocPath]:
    """Yield the paths of the values of an entry: those with a place and no place within them."""
    for key, value in data.items():
        path = (*inside, key)
        if path not in places or path[0] in ("sources", "extends"):
            continue
        if isinstance(value, dict) and any((*path, k) in places for k in value):
            yield from leaves(value, places, path)
        else:
            yield path


def _sources(data: dict[str, Any], places: Places, layers: Sequence[Layer]) -> None:
    """Gather the sources of the values that are there, each from the profile of the value."""
    found: dict[str, str] = {}
    tables = [layer.table.get("sources") for layer in layers]
    stated = [t if isinstance(t, dict) else {} for t in tables]
    by_entry = {(layer.origin.kit_id, layer.path): n for n, layer in enumerate(layers)}
    for path in leaves(data, places):
        if path == ("id",):
            continue
        place = places[path]
        first = by_entry[place.origin.kit_id, place.path[: len(place.path) - len(path)]]
        steps = [str(step) for step in path]
        heads = [".".join(steps[:n]) for n in range(len(steps), 0, -1)]
        source = _stated_source(stated, first, heads)
        if source is not None:
            layer, key = layers[source[0]], source[1]
            found[heads[0]] = stated[source[0]][key]
            where: DocPath = (*layer.path, "sources", key)
            places["sources", heads[0]] = Place(layer.origin, where)
    own = layers[-1]
    if tables[-1] is not None and not isinstance(tables[-1], dict):  # reported when it is read
        data["sources"] = tables[-1]
        places["sources",] = Place(own.origin, (*own.path, "sources"))
    elif found:
        data["sources"] = found
        places["sources",] = Place(own.origin, own.path)


def _stated_source(
    stated: Sequence[Mapping[str, Any]], first: int, heads: Sequence[str]
) -> tuple[int, str] | None:
    """Find the layer and key of a value's source, given the layer that states the value.

    A later layer that names a source of just this value, without a value, goes first.
    """
    for n in range(len(stated) - 1, first, -1):
        if heads[0] in stated[n]:
            return n, heads[0]
    for key in (*heads, "*"):
        if key in stated[first]:
            return first, key
    return None
