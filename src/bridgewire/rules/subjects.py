"""Names and places of what findings are about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import DocPath
from bridgewire.rules.context import Context

ADDRESS_KEYS = ("fire", "target", "way")
"""Keys of a cue that may name its way."""
TIME_KEYS = ("time_s", "effect_at_s")
"""Keys of a cue that may say when."""


def names(ids: Iterable[str], most: int = 3) -> str:
    """Write ids in a row, the first few of them.

    >>> names(["a"]), names(["a", "b"]), names(["a", "b", "c", "d", "e"])
    ("'a'", "'a' and 'b'", "'a', 'b', 'c' and 2 more")
    """
    unique = list(dict.fromkeys(ids))
    shown = [repr(i) for i in unique[:most]]
    if len(unique) > most:
        return f"{', '.join(shown)} and {len(unique) - most} more"
    return " and ".join(filter(None, (", ".join(shown[:-1]), *shown[-1:])))


def way_name(way: WayKey) -> str:
    """Write a way as a cue's `fire` does.

    >>> way_name(("heron-1", 1, 4))
    'heron-1/1/4'
    """
    return f"{way[0]}/{way[1]}/{way[2]}"


def cue_place(context: Context, cue: int, keys: Sequence[str]) -> DocPath:
    """Path of the first of some keys that a cue states, else of the cue itself."""
    stated = context.show.cue[cue]
    for key in keys:
        if getattr(stated, key) is not None:
            return ("cue", cue, key)
    return ("cue", cue)


def box_place(context: Context, box_id: str, key: str) -> DocPath:
    """Path of a key of a box on site if it states it, else of the box."""
    index = context.layout.boxes[box_id][0]
    return ("box", index, key) if getattr(context.show.box[index], key) else ("box", index)
