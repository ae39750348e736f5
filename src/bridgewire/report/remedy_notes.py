"""Remedies that were worked out, as notes beside the findings that they clear."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, TypeAlias

from attrs import frozen

from bridgewire.diagnostics import Finding
from bridgewire.report.contents import Checked
from bridgewire.report.remedy_words import cost_words

if TYPE_CHECKING:
    from bridgewire.remedies.judge import State
    from bridgewire.remedies.numbered import Numbered
    from bridgewire.remedies.remedy import Remedy

MOST = 3
"""Notes beside one finding."""


@frozen
class RemedyNote:
    """A change that would clear a finding, worked out.

    Attributes
    ----------
    text : str
        What to change, one sentence.
    before, after : str
        The same figure as it is and as it would be, with its name: ``margin 0.82``,
        ``margin 1.41``; empty where there is none.
    cost : str
        What the change needs, in words, and what the crew must see to; may be empty.
    number : int
        By which ``bridgewire advise --apply`` knows it.
    """

    text: str
    before: str = ""
    after: str = ""
    cost: str = ""
    number: int = 0


Remedies: TypeAlias = Callable[[Checked, Finding], Sequence[RemedyNote]]
"""Gives the changes worked out for a finding of a report, best first."""


def remedy_notes(advice: Mapping[str, tuple[Numbered, str]]) -> Remedies:
    """What gives the notes of each finding.

    Parameters
    ----------
    advice : mapping of str to (Numbered, str)
        For each show, by its file as reports name it: its remedies, and its currency.

    Returns
    -------
    Remedies
        Of a finding about a cue: the remedies that clear the cue of this finding, at most
        `MOST`, in the order of their numbers. Other findings have none.
    """

    def notes(report: Checked, finding: Finding) -> Sequence[RemedyNote]:
        if report.file not in advice or not finding.subjects:
            return ()
        numbered, currency = advice[report.file]
        found = []
        for number, remedy in numbered.all():
            pair = dict(zip(remedy.mends, remedy.stands, strict=True)).get(finding.subjects[0])
            if pair is not None and _clears(finding, *pair):
                found.append(_note(number, remedy, *pair, currency))
        return found[:MOST]

    return notes


def _clears(finding: Finding, before: State, after: State) -> bool:
    def same(other: Finding) -> bool:
        return other.code == finding.code and other.subjects == finding.subjects

    return any(map(same, before.findings)) and not any(map(same, after.findings))


def _note(number: int, remedy: Remedy, before: State, after: State, currency: str) -> RemedyNote:
    words = remedy.words[:1].upper() + remedy.words[1:]
    cost = cost_words(remedy.cost, currency)
    if len(remedy.mends) > 1:
        cost += f"; mends {len(remedy.mends)} cues"
    cost += "".join(f"; mind: {caveat}" for caveat in remedy.caveats)
    return RemedyNote(
        f"{words} (remedy {number} of bridgewire advise).",
        "" if before.margin is None else f"margin {before.margin:.2f}",
        "" if after.margin is None else f"margin {after.margin:.2f}",
        cost,
        number,
    )
