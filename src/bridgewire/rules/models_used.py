"""Which entries of kit profiles name a plugin's model."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from bridgewire.diagnostics import DocPath
from bridgewire.model.kit import ModelSupply
from bridgewire.rules.context import Context


@frozen
class ModelUse:
    """An igniter class or the supply of a box that names a model."""

    model: str
    full_id: str
    owner: str
    """In words: ``igniter class 'club:slow'``."""
    document: str
    path: DocPath
    """Of the key ``model``."""
    of_supply: bool


def uses_of(context: Context) -> Iterator[ModelUse]:
    """Yield the entries that the show uses and that name a model, by kind and id."""
    items, catalogue = context.used_kit_items, context.catalogue
    for full_id in sorted(items["igniter_class"]):
        klass = catalogue.igniters.get(full_id)
        if klass is not None and klass.model is not None:
            document, path = context.kit_place("igniter_class", full_id)
            owner = f"igniter class {full_id!r}"
            yield ModelUse(klass.model, full_id, owner, document, (*path, "model"), False)
    for full_id in sorted(items["box"]):
        kind = catalogue.boxes.get(full_id)
        if kind is not None and isinstance(kind.supply, ModelSupply):
            document, path = context.kit_place("box", full_id)
            place = (*path, "supply", "model")
            owner = f"the supply of box {full_id!r}"
            yield ModelUse(kind.supply.model, full_id, owner, document, place, True)
