"""A change that may clear a finding, and what it takes."""

from __future__ import annotations

from attrs import field, frozen

from bridgewire.remedies.edits import Edit


@frozen
class Item:
    """Something to buy, or that is no longer needed where `count` is negative."""

    table: str
    """``cable``, ``strip``, ``splitter``, ``igniter_class``, ``box`` or ``contact``."""
    full_id: str
    count: float
    """Pieces; metres of cable."""


@frozen
class Effort:
    """What a change takes, before prices; less than nothing where it saves.

    Attributes
    ----------
    items : tuple of Item
        To buy or no longer needed.
    metres : float
        Of cable laid more than before, m.
    outputs : int
        Of boxes in use more than before.
    runs, parts, igniters : int
        To be rigged more than before.
    shift_s : float
        How far cues move in time, all added up, s; never negative.
    minutes : float
        Rigging time that is not counted by the above.
    longer_s : float
        By which pulses get longer, all added up, s; never negative. It has no price, but keeps
        boxes busy and draws charge.
    """

    items: tuple[Item, ...] = ()
    metres: float = 0.0
    outputs: int = 0
    runs: int = 0
    parts: int = 0
    igniters: int = 0
    shift_s: float = 0.0
    minutes: float = 0.0
    longer_s: float = 0.0

    def __add__(self, other: Effort) -> Effort:
        """Of both changes."""
        return Effort(
            (*self.items, *other.items),
            self.metres + other.metres,
            self.outputs + other.outputs,
            self.runs + other.runs,
            self.parts + other.parts,
            self.igniters + other.igniters,
            self.shift_s + other.shift_s,
            self.minutes + other.minutes,
            self.longer_s + other.longer_s,
        )


@frozen
class Change:
    """One change of the show.

    Attributes
    ----------
    kind : str
        Which move made it, e.g. ``longer-pulse``.
    words : str
        What to do, as an instruction with numbers, without a full stop.
    edits : tuple of Edit
        Of the show document (see `bridgewire.remedies.case.Case.plain`).
    boxes : frozenset of str
        Ids of the boxes whose cues can come out differently.
    effort : Effort
    recipe : str
        Tells the same change made for another cue, e.g. ``to 2``; the place among the changes of
        its kind where empty.
    each : str
        What to do where the same is done for several cues, with ``it`` for the cue; empty where
        the words name no cue.
    caveat : str
        What the crew must see to, as nothing here can tell; a clause without a full stop.
    adds, drops : tuple of str
        Ids of cues that the show has more, or no more.
    """

    kind: str
    words: str
    edits: tuple[Edit, ...]
    boxes: frozenset[str]
    effort: Effort = field(factory=Effort)
    recipe: str = ""
    each: str = ""
    caveat: str = ""
    adds: tuple[str, ...] = ()
    drops: tuple[str, ...] = ()
