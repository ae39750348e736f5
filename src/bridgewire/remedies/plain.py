"""A show as plain data with its cue list taken in, so that every cue can be edited alike."""

from __future__ import annotations

from typing import Any

import attrs

from bridgewire.documents.fields import Key, keys_of
from bridgewire.model.band import Band
from bridgewire.model.show import Show


def plain_show(show: Show, data: dict[str, Any]) -> dict[str, Any]:
    """The document's data with the cues of its cue list after its own.

    Parameters
    ----------
    show : Show
        As read, the cues of the list included.
    data : dict
        Of the document.

    Returns
    -------
    dict
        Without ``cue_list``; the lists inside are those of `data` where nothing is added.
    """
    own = data.get("cue", [])
    listed = show.cue[len(own) :]
    out = {key: value for key, value in data.items() if key != "cue_list"}
    if listed:
        out["cue"] = [*own, *(plain_item(c) for c in listed)]
    return out


def plain_item(item: Any) -> dict[str, Any]:
    """One table of the model as plain data, without keys that have their default.

    >>> from bridgewire.model.show import Run
    >>> plain_item(Run("heron-1/1", "west", "shore-cable", length_m=Band.exact(20)))
    {'from': 'heron-1/1', 'to': 'west', 'cable': 'shore-cable', 'length_m': 20}
    """
    out: dict[str, Any] = {}
    cls: type = type(item)
    for key in keys_of(cls).values():
        value = getattr(item, key.attribute)
        if not key.required and value == _default(key):
            continue
        out[key.key] = plain_value(value)
    return out


def plain_value(value: Any) -> Any:
    """A value of the model as plain data; a band that was a bare number is one again."""
    if isinstance(value, Band):
        if not value.stated:
            return _number(value.typical)
        return {
            "min": _number(value.min),
            "typical": _number(value.typical),
            "max": _number(value.max),
        }
    if attrs.has(type(value)):
        return plain_item(value)
    if isinstance(value, tuple):
        return [plain_value(v) for v in value]
    return value


def _default(key: Key) -> Any:
    default = key.default
    return default.factory() if isinstance(default, attrs.Factory) else default  # type: ignore[arg-type]


def _number(value: float) -> float | int:
    return int(value) if value == int(value) and abs(value) < 1e15 else value
