"""Fingerprints: a short text by which a finding is known again after the show was edited.

A fingerprint is made of what a finding is about, never of lines, columns, numbers or words of the
message:

- its code and the document (``show`` or ``kit:<id>``);
- its document path, with the id of the item in place of each list index: ``cue[3].pulse_s`` of the
  cue 'comet' is ``cue / comet / pulse_s``. An item without an id is known by what it hangs on: an
  igniter by its terminal, a run by its two ends. Where the item is not known (a show that cannot be
  read, a kit profile) the text of the line stands in place of the index;
- its first two subjects (ids of the cue, igniter or part). Further ones are lists of things alike,
  which grow with the show;
- which one it is of several that are equal in all this.

So it stays when lines move, when items are inserted, removed or put in another order, when the
value found wrong changes but is still wrong, and when the file gets another name. It changes when
the item gets another id. A finding that speaks of several items alike stands at the first of them,
so it changes with another one in front.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from bridgewire.diagnostics import Finding

if TYPE_CHECKING:
    from bridgewire.model.show import Show

VERSION = 1
"""Rises when fingerprints are made in another way."""
_SUBJECTS = 2
_DIGITS = 32


def fingerprint(finding: Finding, show: Show | None, occurrence: int = 0) -> str:
    """Make the fingerprint of one finding.

    Parameters
    ----------
    finding : Finding
    show : Show, optional
        The show that the finding is about; None where it could not be read.
    occurrence : int
        How many findings before this one are about the same, see `fingerprints`.

    Returns
    -------
    str
        32 hexadecimal digits.

    Examples
    --------
    >>> here = Finding("FIR001", "will not light", path=("cue", 0), subjects=("opening", "comet"))
    >>> fingerprint(here, None)
    '278b30d66fc0b086144c40cfd392bf90'
    """
    return _digest(_key(finding, show), occurrence)


def fingerprints(findings: Iterable[Finding], show: Show | None) -> list[str]:
    """Make the fingerprints of all findings of a show; no two are equal.

    Parameters
    ----------
    findings : iterable of Finding
        In the order of the report.
    show : Show, optional
        As in `fingerprint`.
    """
    seen: Counter[str] = Counter()
    made = []
    for finding in findings:
        key = _key(finding, show)
        made.append(_digest(key, seen[key]))
        seen[key] += 1
    return made


def _digest(key: str, occurrence: int) -> str:
    return hashlib.sha256(f"{key}{occurrence}".encode()).hexdigest()[:_DIGITS]


def _key(finding: Finding, show: Show | None) -> str:
    about = show if finding.document == "show" else None
    parts = [VERSION, finding.code, finding.document, _named(finding, about)]
    return json.dumps([*parts, finding.subjects[:_SUBJECTS]])


def _named(finding: Finding, show: Show | None) -> list[str]:
    """The document path with names in place of list indexes."""
    here: Any = show
    names = []
    for step in finding.path:
        if isinstance(step, str):
            here = getattr(here, step, None)
            names.append(step)
            continue
        here = here[step] if isinstance(here, tuple) and 0 <= step < len(here) else None
        names.append(_name(here) or _line(finding))
    return names


def _name(item: Any) -> str:
    """What an item of a list is known by."""
    if isinstance(item, str):
        return item
    for keys in (("id",), ("from_", "to"), ("at",), ("code", "subject")):
        values = [getattr(item, key, None) for key in keys]
        if isinstance(values[0], str):
            return " ".join(str(value) for value in values)
    return ""


def _line(finding: Finding) -> str:
    place = finding.location
    return "" if place is None else " ".join(place.snippet.split())
