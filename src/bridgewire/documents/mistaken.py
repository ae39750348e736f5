"""Notices a document of another kind than the one wanted, before all its keys are called wrong."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import frozen

from bridgewire.documents.problems import UNKNOWN_KEY, Problem
from bridgewire.model.bench import BenchRecord
from bridgewire.model.kit import Kit
from bridgewire.model.plan_site import PlanSite
from bridgewire.model.show import Show


@frozen
class _Kind:
    words: str
    use: str
    """What to do with such a file."""


_KINDS: Mapping[type, _Kind] = {
    Show: _Kind("a show", "'bridgewire check' takes a show."),
    Kit: _Kind(
        "a kit profile",
        "A show names its id under \"kits\"; 'bridgewire kits validate' takes the file itself.",
    ),
    BenchRecord: _Kind("a bench record", "'bridgewire bench' takes a bench record."),
    PlanSite: _Kind("a plan site", "'bridgewire plan' takes a plan site."),
}
_TELLING: tuple[tuple[str, type], ...] = (
    ("wanted", PlanSite),
    ("stock", PlanSite),
    ("trial", BenchRecord),
    ("cue", Show),
    ("cue_list", Show),
)
"""Keys that only one kind of document has, with that kind."""
_KIT_TABLES = frozenset(("contact", "cable", "igniter_class"))


def mistaken_kind(data: Mapping[str, Any], wanted: type) -> Problem | None:
    """Tell whether a document is of another kind than the one wanted.

    Parameters
    ----------
    data : mapping
        Plain data of a whole document.
    wanted : type
        `Show`, `Kit`, `BenchRecord` or `PlanSite`.

    Returns
    -------
    Problem or None
        None where the document is of the kind, or of none that can be told.

    Examples
    --------
    >>> mistaken_kind({"format": 1, "kits": [], "wanted": []}, Show).message
    'this is a plan site, not a show'
    """
    seen = _seen(data, wanted)
    if seen is None or seen[1] is wanted:
        return None
    key, cls = seen
    return Problem(
        UNKNOWN_KEY,
        f"this is {_KINDS[cls].words}, not {_KINDS[wanted].words}",
        path=(key,),
        expected=_KINDS[wanted].words,
        got=f'a document with the key "{key}"',
        remedy=_KINDS[cls].use,
        at_key=True,
    )


def _seen(data: Mapping[str, Any], wanted: type) -> tuple[str, type] | None:
    """Return the key that tells what a document is, and its kind; None where that is open."""
    found = [(key, cls) for key, cls in _TELLING if key in data]
    alike = len({cls for _, cls in found}) == 1
    if wanted is Kit:
        names_kits = "kits" in data and "id" not in data
        return ("kits", found[0][1] if alike else Show) if names_kits else None
    if "id" in data and "kits" not in data and _KIT_TABLES & set(data):
        return "id", Kit
    return found[0] if alike else None
