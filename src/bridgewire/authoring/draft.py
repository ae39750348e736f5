"""From answers to a kit profile as plain data, with sources, comments and remarks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from attrs import define, frozen

from bridgewire.authoring.box_entry import box_entry
from bridgewire.authoring.entry_data import Entry, has
from bridgewire.authoring.part_entries import (
    cable_entry,
    contact_entry,
    igniter_entry,
    splitter_entry,
    strip_entry,
)
from bridgewire.authoring.question import UNKNOWN, Answers
from bridgewire.authoring.questions import SECTIONS
from bridgewire.authoring.readings_in_common import Bench
from bridgewire.authoring.supply import BenchError
from bridgewire.errors import BridgewireError, ModelRangeError

Sheet = dict[str, list[dict[str, str]]]
"""Key of a section -> the answers of each entry. Sections that are asked once have one entry."""


@frozen
class AnswerProblem:
    """Answers that do not go together."""

    section: str
    index: int
    key: str
    """Empty for the whole entry."""
    message: str


class DraftError(BridgewireError):
    """Answers from which no profile can be made."""

    def __init__(self, problems: Sequence[AnswerProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(p.message for p in problems))


@define
class Draft:
    """A kit profile before it is written."""

    head: dict[str, Any]
    comments: list[str]
    entries: list[Entry]

    def data(self) -> dict[str, Any]:
        """Plain data of the whole profile, sources included."""
        found: dict[str, Any] = dict(self.head)
        for entry in self.entries:
            sources = {"sources": entry.sources} if entry.sources else {}
            found.setdefault(entry.table, []).append({**entry.data, **sources})
        return found


def draft(sheet: Sheet) -> Draft:
    """Work out a profile from checked answers.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    Draft

    Raises
    ------
    DraftError
        With everything that does not go together.

    Examples
    --------
    >>> found = draft({"kit": [{"id": "club"}], "cable": [{"id": "reel", "metal": "copper",
    ...     "stranding": "solid", "conductors": "8", "size": "24 AWG", "length_m": "50",
    ...     "loop": "13.1", "at_C": "20"}]})
    >>> found.entries[0].data["ohm_per_m"]
    0.131
    """
    problems: list[AnswerProblem] = []
    kit = _one(sheet, "kit")
    bench = Bench.of(kit, _one(sheet, "meter"))
    entries: list[Entry] = []
    seen: set[tuple[str, str]] = set()
    for section in SECTIONS:
        if not section.many:
            continue
        for index, answers in enumerate(sheet.get(section.key, [])):
            if (section.key, answers["id"]) in seen:
                message = f"there are two of the name {answers['id']!r}"
                problems.append(AnswerProblem(section.key, index, "id", message))
            seen.add((section.key, answers["id"]))
            try:
                entries.append(entry(section.key, answers, bench))
            except (BenchError, ModelRangeError) as error:
                problems.append(AnswerProblem(section.key, index, "", str(error)))
    if problems:
        raise DraftError(problems)
    head: dict[str, Any] = {"format": 1, "id": kit["id"]}
    if has(kit, "title"):
        head["title"] = kit["title"]
    head["version"] = kit["measured_on"] if has(kit, "measured_on") else "1"
    return Draft(head, bench.comments(), entries)


def entry(section: str, answers: Answers, bench: Bench) -> Entry:
    """Work out one entry.

    Raises
    ------
    BenchError, ModelRangeError
        If the answers do not go together.
    """
    made = Entry(section, {"id": answers["id"]})
    if has(answers, "title"):
        made.data["title"] = answers["title"]
    _MAKERS[section](made, answers, bench)
    made.unknown = [k for k, v in answers.items() if v == UNKNOWN]
    return made


def _one(sheet: Sheet, key: str) -> dict[str, str]:
    entries = sheet.get(key, [])
    return entries[0] if entries else {}


_MAKERS: Mapping[str, Callable[[Entry, Answers, Bench], None]] = {
    "contact": contact_entry,
    "cable": cable_entry,
    "strip": strip_entry,
    "splitter": splitter_entry,
    "igniter_class": igniter_entry,
    "box": box_entry,
}
