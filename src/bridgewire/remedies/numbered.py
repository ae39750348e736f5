"""Remedies numbered for people: those that mend cues of several groups come first."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from bridgewire.remedies.remedy import Advice, Remedy


@frozen
class Numbered:
    """Advice with its remedies numbered from 1.

    Attributes
    ----------
    several : tuple of (int, Remedy)
        Those that mend cues of more than one group; those that mend most first.
    groups : tuple of (Advice, tuple of (int, Remedy))
        Each with the remedies that are not among `several`.
    """

    several: tuple[tuple[int, Remedy], ...]
    groups: tuple[tuple[Advice, tuple[tuple[int, Remedy], ...]], ...]

    def all(self) -> tuple[tuple[int, Remedy], ...]:
        """Every remedy with its number, in order."""
        return (*self.several, *(pair for _, remedies in self.groups for pair in remedies))

    def remedy(self, number: int) -> Remedy | None:
        """The remedy of a number, or None."""
        return dict(self.all()).get(number)

    @property
    def count(self) -> int:
        """How many remedies there are."""
        return len(self.several) + sum(len(remedies) for _, remedies in self.groups)

    def also(self, advice: Advice) -> tuple[int, ...]:
        """Numbers of the remedies among `several` that mend a cue of a group."""
        return tuple(n for n, r in self.several if set(r.mends) & set(advice.cue_ids))


def numbered(advice: Sequence[Advice]) -> Numbered:
    """Number remedies, those for several groups first.

    Parameters
    ----------
    advice : sequence of Advice

    Returns
    -------
    Numbered
        The same advice has the same numbers.
    """
    shared: dict[object, Remedy] = {}
    for item in advice:
        for remedy in item.remedies:
            touched = sum(bool(set(remedy.mends) & set(a.cue_ids)) for a in advice)
            if touched > 1 and remedy.edits not in shared:
                shared[remedy.edits] = remedy
    order = sorted(shared.values(), key=lambda r: -len(r.mends))
    several = tuple(enumerate(order, start=1))
    number = len(several)
    groups = []
    for item in advice:
        rest = []
        for remedy in item.remedies:
            if remedy.edits not in shared:
                number += 1
                rest.append((number, remedy))
        groups.append((item, tuple(rest)))
    return Numbered(several, tuple(groups))
