"""Ids of elements that can be linked to: safe and unique, whatever names a show gives."""

from __future__ import annotations

import re
from collections.abc import Hashable

_UNSAFE = re.compile(r"[^A-Za-z0-9_]+")
_LONGEST = 60


class Anchors:
    """Hands out ids within one page.

    Examples
    --------
    >>> anchors = Anchors()
    >>> anchors.give("cue", 0, "twin comets"), anchors.give("cue", 1, "twin-comets")
    ('cue-twin-comets', 'cue-twin-comets-2')
    >>> anchors.of("cue", 0), anchors.give("cue", 2, "<b>"), anchors.give("cue", 3, "灯")
    ('cue-twin-comets', 'cue-b', 'cue')
    """

    def __init__(self, prefix: str = "", taken: set[str] | None = None) -> None:
        self.prefix = prefix
        self._taken: set[str] = set() if taken is None else taken
        self._given: dict[tuple[str, Hashable], str] = {}

    def give(self, kind: str, key: Hashable, name: str) -> str:
        """Make the id of something.

        Parameters
        ----------
        kind : str
            First word of the id, such as ``cue``.
        key : hashable
            By which `of` finds it again.
        name : str
            Rest of the id, as far as it has letters and digits of ASCII.
        """
        rest = _UNSAFE.sub("-", name).strip("-")[:_LONGEST].rstrip("-")
        base = "-".join(part for part in (self.prefix, kind, rest) if part)
        anchor, n = base, 1
        # Ids that differ in case only would be told apart by a browser, but not by people.
        while anchor.lower() in self._taken:
            n += 1
            anchor = f"{base}-{n}"
        self._taken.add(anchor.lower())
        self._given[kind, key] = anchor
        return anchor

    def of(self, kind: str, key: Hashable) -> str:
        """The id that was given.

        Raises
        ------
        KeyError
            If none was.
        """
        return self._given[kind, key]
