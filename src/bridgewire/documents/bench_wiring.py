"""Plain data of a bench record: the parts of a trial, and which way a terminal is on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeGuard

PART_TABLES = ("box", "strip", "splitter", "run", "igniter")
"""Lists of parts that a bench or a trial may have."""
_LONGEST_WALK = 1000


def is_list(value: Any) -> TypeGuard[list[Any]]:
    """Tell whether plain data are a list."""
    return isinstance(value, list)


def tables_of(owner: Mapping[str, Any], key: str) -> list[dict[str, Any]] | None:
    """Return a list of tables, empty where there is none; None where it is something else."""
    found = owner.get(key, [])
    return found if is_list(found) and all(isinstance(t, dict) for t in found) else None


def wiring_of(data: Mapping[str, Any], trial: Mapping[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """The tables of a trial's wiring, with those of the bench that it names."""
    found: dict[str, list[dict[str, Any]]] = {}
    benches = data.get("bench", [])
    named = [b for b in benches if isinstance(b, dict) and b.get("id") == trial.get("bench")]
    for key in PART_TABLES:
        lists = [owner.get(key) for owner in (*named[:1], trial)]
        found[key] = [i for one in lists if is_list(one) for i in one if isinstance(i, dict)]
    return found


def way_of_place(place: str, wiring: Mapping[str, list[dict[str, Any]]]) -> str | None:
    """Find the way (``box/output/way``) that a terminal (``strip/way``) is on.

    Examples
    --------
    >>> wiring = {"box": [{"id": "heron-1"}], "run": [{"from": "heron-1/2", "to": "a"}]}
    >>> way_of_place("a/3", wiring)
    'heron-1/2/3'
    """
    part, _, way = place.partition("/")
    boxes = {b.get("id") for b in wiring["box"]}
    feeds = {r.get("to"): r.get("from") for r in wiring["run"]}
    for _ in range(_LONGEST_WALK):
        above = feeds.get(part)
        if not isinstance(above, str) or not way:
            return None
        head = above.partition("/")[0]
        if head in boxes and "/" in above:
            return f"{above}/{way}"
        part = head
    return None
