"""The document keys of a model class, read off its attributes and type hints."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin

import attrs

from bridgewire.model.band import Band


@attrs.frozen
class Key:
    """One key of a table."""

    key: str
    attribute: str
    shape: Any
    """The type, without ``None``."""
    required: bool
    default: Any = None
    or_one: bool = False
    """Whether a single item may stand for an array of one."""


@cache
def keys_of(cls: type) -> Mapping[str, Key]:
    """List the keys of a model class by their name in documents.

    >>> from bridgewire.model.show import Run
    >>> list(keys_of(Run))[:3]
    ['from', 'to', 'cable']
    """
    hints = typing.get_type_hints(cls)
    found = {}
    for attribute in attrs.fields(cls):
        key = attribute.metadata.get("key", attribute.name)
        found[key] = Key(
            key,
            attribute.name,
            without_none(hints[attribute.name]),
            attribute.default is attrs.NOTHING,
            attribute.default,
            bool(attribute.metadata.get("or_one", False)),
        )
    return found


@cache
def entry_tables(cls: type) -> Mapping[str, type]:
    """Map the keys of a class that hold lists of tables to the class of an entry.

    >>> from bridgewire.model.kit import Kit
    >>> list(entry_tables(Kit))
    ['contact', 'cable', 'strip', 'splitter', 'igniter_class', 'box']
    """
    return {
        name: item[0]
        for name, key in keys_of(cls).items()
        if (item := item_of(key.shape)) is not None and is_table(item[0])
    }


def without_none(hint: Any) -> Any:
    """Take ``None`` out of a type hint."""
    if not is_union(hint):
        return hint
    kept = [a for a in get_args(hint) if a is not type(None)]
    return kept[0] if len(kept) == 1 else Union[tuple(kept)]  # noqa: UP007


def is_union(hint: Any) -> bool:
    """Tell whether a type hint is a union."""
    return get_origin(hint) in (Union, types.UnionType)


def is_table(hint: Any) -> bool:
    """Tell whether a type hint is a model class that a table is read into."""
    return isinstance(hint, type) and hint is not Band and attrs.has(hint)


def choices_of(hint: Any) -> tuple[str, ...] | None:
    """Return the choices of a ``Literal``; None for any other hint."""
    return get_args(hint) if get_origin(hint) is Literal else None


def tagged(hint: Any) -> Mapping[str, type] | None:
    """Map the ``kind`` of each class of a union to the class; None for any other hint."""
    if not is_union(hint) or not all(is_table(cls) for cls in get_args(hint)):
        return None
    found: dict[str, type] = {}
    for cls in get_args(hint):
        for choice in choices_of(keys_of(cls)["kind"].shape) or ():
            found[choice] = cls
    return found


def item_of(hint: Any) -> tuple[Any, int | None] | None:
    """Return the item type of a tuple and its fixed length (None: any); None if no tuple."""
    if get_origin(hint) is not tuple:
        return None
    args = get_args(hint)
    if len(args) == 2 and args[1] is Ellipsis:
        return args[0], None
    return args[0], len(args)
