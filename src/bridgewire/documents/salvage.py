"""What can still be understood of a show that has problems, so that references are checked too."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from attrs import frozen

from bridgewire.diagnostics import Finding
from bridgewire.documents.problems import SYNTAX, Problem
from bridgewire.documents.source import Document
from bridgewire.documents.structure import structure
from bridgewire.errors import InputError
from bridgewire.model.show import Show

LISTS = ("position", "box", "strip", "splitter", "run", "drum", "igniter", "cue")
"""Lists of a show whose items may be left out one by one."""
NAMED = ("position", "box", "strip", "splitter", "drum", "igniter")
"""Those whose items are named elsewhere in the show."""


@frozen
class Salvage:
    """A show without the parts that are wrong.

    Attributes
    ----------
    show : Show
    document : Document
        Of the whole file.
    kept : mapping of str to tuple of int
        For each list of the show, the place in the file of every item kept.
    left_out : frozenset of str
        Ids of the items left out, whatever they are.
    nameless : bool
        Whether something is left out whose id cannot be read.
    runs_left_out, kits_left_out : bool
    """

    show: Show
    document: Document
    kept: Mapping[str, tuple[int, ...]]
    left_out: frozenset[str]
    nameless: bool
    runs_left_out: bool
    kits_left_out: bool


class ShowInputError(InputError):
    """A show could not be used; `salvage` is what can still be checked of it, if anything."""

    def __init__(self, findings: tuple[Finding, ...], salvage: Salvage | None) -> None:
        super().__init__(findings)
        self.salvage = salvage


def salvage_show(
    data: Mapping[str, Any] | None, problems: Sequence[Problem], document: Document
) -> Salvage | None:
    """Leave out what is wrong and make a show of the rest.

    Returns None where the text itself could not be read whole, or nothing useful is left.
    """
    if data is None or any(p.code == SYNTAX for p in problems):
        return None
    bad: dict[str, set[int]] = defaultdict(set)
    rest = {key: value for key, value in data.items() if key != "cue_list"}
    gone: set[str] = set()
    for problem in problems:
        key = str(problem.path[0]) if problem.path else ""
        index = problem.path[1] if len(problem.path) > 1 else None
        if key in (*LISTS, "kits") and isinstance(index, int):
            bad[key].add(index)
        else:
            gone.add(key)
            rest.pop(key, None)
    kept: dict[str, tuple[int, ...]] = {}
    out: list[Any] = []
    for key in (*LISTS, "kits"):
        items = rest.get(key, [])
        if not isinstance(items, list):
            gone.add(key)
            items = []
        kept[key] = tuple(i for i in range(len(items)) if i not in bad[key])
        rest[key] = [items[i] for i in kept[key]]
        if key in NAMED:
            # A key that is set twice can have problems in a list that is not the one kept.
            out += [items[i] if i < len(items) else None for i in sorted(bad[key])]
    # What a show must have, but references do not depend on.
    rest.setdefault("format", 1)
    rest.setdefault("title", "")
    show = structure(rest, Show, [])
    if show is None:
        return None
    names = [_name(item) for item in out]
    return Salvage(
        show,
        document,
        kept,
        frozenset(n for n in names if n is not None),
        nameless=None in names or bool(gone & set(NAMED)),
        runs_left_out=bool(bad["run"]) or "run" in gone,
        kits_left_out=bool(bad["kits"]) or "kits" in gone,
    )


def _name(item: Any) -> str | None:
    """What others may call an item: its id, or the terminal of an igniter without one."""
    named = (item.get("id") or item.get("at")) if isinstance(item, dict) else None
    return named if isinstance(named, str) else None
