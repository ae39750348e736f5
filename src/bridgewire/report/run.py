"""A run of the check as its writers see it: reports, shows that could not be read, and places."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from attrs import field, frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.report.fingerprints import fingerprints
from bridgewire.report.plain_text import visible

if TYPE_CHECKING:
    from bridgewire.model.show import Show
    from bridgewire.report.contents import Checked
    from bridgewire.report.remedy_notes import Remedies
    from bridgewire.rules.registry import LoadedRule


class Unusable(NamedTuple):
    """A show that could not be checked, with every problem found."""

    file: str
    """As it was asked for."""
    findings: tuple[Finding, ...]


@frozen(eq=False)
class CheckedRun:
    """What one run of the check has found.

    Attributes
    ----------
    reports : tuple of Checked
        One for each show that could be read, in the order asked for.
    unusable : tuple of Unusable
        The other shows.
    version : str
        Of bridgewire.
    fail_on : Severity
        Findings of this severity and above make the run fail.
    root : Path
        The folder to which places in machine outputs are relative; the working folder.
    rules : tuple of LoadedRule
        Rules that plugins bring, besides bridgewire's own.
    comparisons : tuple of dict
        See `bridgewire.report.json_report.comparison_data`.
    remedies : callable or None
        Gives the remedies that were worked out for a finding.
    """

    reports: tuple[Checked, ...]
    unusable: tuple[Unusable, ...] = ()
    version: str = ""
    fail_on: Severity = Severity.ERROR
    root: Path = field(factory=Path.cwd)
    rules: tuple[LoadedRule, ...] = ()
    comparisons: tuple[Mapping[str, Any], ...] = ()
    remedies: Remedies | None = None

    def entries(self, *, ignored: bool = False, by_show: bool = False) -> Iterator[Entry]:
        """Every finding: problems of unusable shows first, then show by show, worst first.

        Parameters
        ----------
        ignored : bool
            Also those that the shows asked not to hear of, after the others of the show.
        by_show : bool
            Give a finding about a kit profile or a plugin with every show that it concerns; else
            only with the first, as its place is the same.
        """
        first: dict[tuple[object, ...], str] = {}
        for entry in self._all(ignored):
            finding = entry.finding
            if finding.document != "show" and not by_show:
                place = str(finding.location)
                key = (finding.code, finding.message, finding.path, place, entry.ignored)
                if first.setdefault(key, entry.file) != entry.file:
                    continue
            yield entry

    def _all(self, ignored: bool) -> Iterator[Entry]:
        for file, findings in self.unusable:
            marks = fingerprints(findings, None)
            yield from (
                Entry(f, file, m, usable=False) for f, m in zip(findings, marks, strict=True)
            )
        for report in self.reports:
            show = show_of(report)
            hidden = report.ignored if ignored else ()
            found = (*report.findings, *(i.finding for i in hidden))
            reasons = (*(None for _ in report.findings), *(i.reason for i in hidden))
            known = (*(False for _ in report.findings), *(i.baseline for i in hidden))
            marks = fingerprints(found, show)
            for finding, mark, reason, old in zip(found, marks, reasons, known, strict=True):
                yield Entry(finding, report.file, mark, ignored=reason, baseline=old)


@frozen(eq=False)
class Entry:
    """A finding with the show that it belongs to.

    Attributes
    ----------
    finding : Finding
    file : str
        The show file as given.
    fingerprint : str
        See `bridgewire.report.fingerprints`.
    usable : bool
        False for a problem that kept the show from being checked.
    ignored : str or None
        Why it does not count: the show's own reason, or that the baseline knows it; None where it
        counts.
    baseline : bool
        Whether it is the baseline that knows it.
    """

    finding: Finding
    file: str
    fingerprint: str
    usable: bool = True
    ignored: str | None = None
    baseline: bool = False


class Spot(NamedTuple):
    """Where a service that knows only the files of a project shows a finding."""

    path: str
    line: int
    column: int
    end_column: int
    elsewhere: str
    """The true place in words where that is in no file of the project; else empty."""


def show_of(report: Checked) -> Show | None:
    """The show of a report, where it was computed."""
    return None if report.assessment is None else report.assessment.layout.show


def inside(file: str, root: Path) -> str | None:
    """The name of a file relative to a folder, with ``/``; None where it is not in there.

    >>> inside("/srv/shows/proms.toml", Path("/srv")), inside("/etc/x.toml", Path("/srv"))
    ('shows/proms.toml', None)
    """
    path = Path(os.path.normpath(root / file))
    return path.relative_to(root).as_posix() if path.is_relative_to(root) else None


def octets(name: str) -> bytes:
    """The bytes of a file name, also of one that is no UTF-8.

    >>> octets("caf\\udce9")
    b'caf\\xe9'
    """
    try:
        return name.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:  # no name of a file, but a text in a document can hold it
        return name.encode("utf-8", "backslashreplace")


def spot_of(entry: Entry, root: Path) -> Spot:
    """Where to show a finding: its place, or the top of the show where that is elsewhere."""
    place = entry.finding.location
    if place is not None:
        path = inside(place.file, root)
        if path is not None:
            return Spot(path, place.line, place.column, place.column + place.width, "")
    show = inside(entry.file, root) or Path(os.path.normpath(root / entry.file)).as_posix()
    return Spot(show, 1, 1, 1, "" if place is None else visible(str(place)))


def sentence(text: str) -> str:
    """A text that ends like a sentence, safe to show.

    >>> sentence("the pulse is too short")
    'the pulse is too short.'
    """
    text = visible(text).strip()
    return text if text.endswith((".", "!", "?")) else f"{text}."


def full_text(entry: Entry, elsewhere: str = "") -> str:
    """A finding in one paragraph: message, what was expected and got, what to do.

    Parameters
    ----------
    entry : Entry
    elsewhere : str
        The true place, where the reader is shown another.
    """
    finding = entry.finding
    parts = [sentence(finding.message)]
    if elsewhere:
        parts.insert(0, f"{elsewhere}:")
    if finding.expected:
        parts.append(sentence(f"Expected: {finding.expected}"))
    if finding.got:
        parts.append(sentence(f"Got: {finding.got}"))
    if finding.suggestion:
        bare = " " not in finding.suggestion
        text = f"Did you mean {finding.suggestion}?" if bare else f"Hint: {finding.suggestion}"
        parts.append(sentence(text))
    if finding.remedy:
        parts.append(sentence(f"Do: {finding.remedy}"))
    if not entry.usable:
        parts.append("Nothing of this show was checked.")
    return " ".join(parts)
