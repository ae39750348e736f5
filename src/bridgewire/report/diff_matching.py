"""Which cue and which igniter of a revision is which of the other one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from bridgewire.circuit.layout import WayKey
from bridgewire.report.contents import Checked
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome


def matched_cues(
    old: Sequence[CueOutcome], new: Sequence[CueOutcome]
) -> tuple[list[tuple[CueOutcome, CueOutcome]], list[CueOutcome], list[CueOutcome]]:
    """Match cues by id; those left over by way and switching time, where that leaves no doubt.

    Returns
    -------
    pairs, added, removed
        Old beside new in the new order; the new cues without an old one; the old without a new.
    """
    by_id = {c.id: c for c in old}
    left = {c.id: c for c in new if c.id not in by_id}
    ids = {c.id for c in new}
    gone = [c for c in old if c.id not in ids]
    renamed = _renamed(gone, list(left.values()))
    pairs = []
    for cue in new:
        before = by_id.get(cue.id) or renamed.get(cue.id)
        if before is not None:
            pairs.append((before, cue))
    matched = {c.id for c in renamed.values()}
    added = [c for c in left.values() if c.id not in renamed]
    return pairs, added, [c for c in gone if c.id not in matched]


def _renamed(gone: Iterable[CueOutcome], left: Iterable[CueOutcome]) -> dict[str, CueOutcome]:
    """Old cues by the new id that they have got."""

    def grouped(cues: Iterable[CueOutcome]) -> dict[tuple[WayKey, float], list[CueOutcome]]:
        groups: dict[tuple[WayKey, float], list[CueOutcome]] = defaultdict(list)
        for cue in cues:
            if cue.way is not None:
                groups[cue.way, round(cue.switch_s, 3)].append(cue)
        return groups

    before, after = grouped(gone), grouped(left)
    return {
        cues[0].id: before[key][0]
        for key, cues in after.items()
        if len(cues) == 1 and len(before.get(key, ())) == 1
    }


def matched_igniters(
    before: CueOutcome, after: CueOutcome, old: Checked, new: Checked
) -> Iterator[tuple[IgniterOutcome | None, IgniterOutcome | None]]:
    """Match the igniters that a cue means by id; those left over by terminal, where one is left.

    Parameters
    ----------
    before, after : CueOutcome
        The cue in both revisions.
    old, new : Checked
        The reports that they are from.

    Yields
    ------
    (IgniterOutcome or None, IgniterOutcome or None)
        Old beside new; None where the cue means it in one revision only.
    """
    olds = {i.id: i for i in before.meant}
    rest = [i for i in after.meant if i.id not in olds]
    for igniter in after.meant:
        if igniter.id in olds:
            yield olds.pop(igniter.id), igniter
    by_terminal: dict[str, list[IgniterOutcome]] = defaultdict(list)
    for igniter in olds.values():
        by_terminal[_terminal(old, igniter)].append(igniter)
    newcomers: dict[str, list[IgniterOutcome]] = defaultdict(list)
    for igniter in rest:
        newcomers[_terminal(new, igniter)].append(igniter)
    for terminal, here in newcomers.items():
        there = by_terminal.get(terminal, [])
        if terminal and len(here) == len(there) == 1:
            del by_terminal[terminal]
            yield there[0], here[0]
        else:
            for igniter in here:
                yield None, igniter
    for igniters in by_terminal.values():
        for igniter in igniters:
            yield igniter, None


def _terminal(report: Checked, igniter: IgniterOutcome) -> str:
    if report.assessment is None:
        return ""
    return report.assessment.layout.show.igniter[igniter.igniter].at
