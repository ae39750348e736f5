"""Known findings: what a group has seen in its shows and lives with, told apart from what is new.

A finding is known again by its fingerprint. It is new all the same where it is of a higher severity
than before, where its measured value got clearly worse, or where there are more of its sort.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Container, Iterable, Sequence
from typing import Literal

from attrs import evolve, frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.show import Show
from bridgewire.report.fingerprints import fingerprint
from bridgewire.report.json_values import finite
from bridgewire.report.worsening import clearly_worse
from bridgewire.rules.base import NEVER_IGNORED
from bridgewire.rules.registry import load_rule, rule_files

KNOWN_REASON = "known, in the baseline"


@frozen
class KnownFinding:
    """One entry of a baseline file."""

    show: str
    """The show file, relative to the baseline file's folder, with ``/``."""
    code: str
    severity: Literal["info", "warning", "error"]
    fingerprint: str
    """See `bridgewire.report.fingerprints`."""
    message: str = ""
    """The finding's words when it became known, for people; not compared."""
    measured: float | None = None
    """The worst value then; None where it has none, or none that is finite."""
    count: int = 1
    """How many findings have this fingerprint."""


@frozen
class Baseline:
    """The findings of a group's shows that are known."""

    known: tuple[KnownFinding, ...] = ()

    def of_show(self, show: str) -> tuple[KnownFinding, ...]:
        """Entries of one show file."""
        return tuple(k for k in self.known if k.show == show)


@frozen
class Known:
    """A finding of a check that the baseline knows."""

    finding: Finding
    entry: KnownFinding


def entries_of(
    findings: Iterable[Finding], show: Show | None, file: str, least: Severity = Severity.WARNING
) -> tuple[KnownFinding, ...]:
    """Make the entries for the findings of one show.

    Parameters
    ----------
    findings : iterable of Finding
    show : Show or None
        The show that they are about.
    file : str
        As entries name it.
    least : Severity
        Findings below it are left out.

    Returns
    -------
    tuple of KnownFinding
        In order of code and fingerprint, without findings that cannot be known: those that say
        that the show was not checked in full, or not rightly.
    """
    groups: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in findings:
        if finding.severity >= least and can_be_known(finding):
            groups[finding.code, fingerprint(finding, show)].append(finding)
    made = []
    for (code, mark), group in sorted(groups.items(), key=lambda g: g[0]):
        worst = sorted(group, key=_badness)[-1]
        severity: Literal["info", "warning", "error"] = "error"
        if worst.severity < Severity.ERROR:
            severity = "warning" if worst.severity is Severity.WARNING else "info"
        made.append(
            KnownFinding(
                file, code, severity, mark, worst.message, finite(worst.measured), len(group)
            )
        )
    return tuple(made)


def can_be_known(finding: Finding) -> bool:
    """Whether a baseline may hold a finding.

    >>> can_be_known(Finding("DOC017", "rule FIR001 failed")), can_be_known(Finding("FIR001", "no"))
    (False, True)
    """
    return finding.code not in NEVER_IGNORED


def split(
    findings: Iterable[Finding], show: Show | None, entries: Sequence[KnownFinding]
) -> tuple[tuple[Finding, ...], tuple[Known, ...]]:
    """Tell new findings from known ones.

    Parameters
    ----------
    findings : iterable of Finding
        Of one show, worst first.
    show : Show or None
    entries : sequence of KnownFinding
        Those of this show.

    Returns
    -------
    new, known
        In the order of `findings`.
    """
    by_mark = {(e.code, e.fingerprint): e for e in entries}
    all_findings = list(findings)
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, finding in enumerate(all_findings):
        groups[finding.code, fingerprint(finding, show)].append(i)
    entry_of: dict[int, KnownFinding] = {}
    for key, group in groups.items():
        entry = by_mark.get(key)
        if entry is None:
            continue
        kept = [i for i in group if _as_before(all_findings[i], entry)]
        kept.sort(key=lambda i: _badness(all_findings[i]))
        entry_of.update(dict.fromkeys(kept[: entry.count], entry))
    new = tuple(f for i, f in enumerate(all_findings) if i not in entry_of)
    known = tuple(Known(f, entry_of[i]) for i, f in enumerate(all_findings) if i in entry_of)
    return new, known


def still_there(
    entries: Sequence[KnownFinding],
    findings: Iterable[Finding],
    show: Show | None,
    *,
    odds: bool = False,
    also: Container[str] = (),
) -> tuple[tuple[KnownFinding, ...], tuple[KnownFinding, ...]]:
    """Tell entries that still have their finding from those that have none any more.

    Parameters
    ----------
    entries : sequence of KnownFinding
        Those of one show.
    findings : iterable of Finding
        What the show has now.
    show : Show or None
    odds : bool
        Whether the check computed odds. Entries of rules that need them are kept otherwise.
    also : container of str
        Codes of rules besides bridgewire's own that ran. Entries of rules that did not run are
        kept: that nothing was found says nothing.

    Returns
    -------
    kept, gone
        A kept entry has the smaller count where fewer are found. An entry whose findings got fewer
        stands in both, in `gone` with the number that went.
    """
    now: dict[tuple[str, str], int] = defaultdict(int)
    for finding in findings:
        now[finding.code, fingerprint(finding, show)] += 1
    kept, gone = [], []
    for entry in entries:
        if not _could_be_found(entry.code, odds, also):
            kept.append(entry)
            continue
        count = min(entry.count, now[entry.code, entry.fingerprint])
        if count:
            kept.append(evolve(entry, count=count))
        if count < entry.count:
            gone.append(evolve(entry, count=entry.count - count))
    return tuple(kept), tuple(gone)


def _could_be_found(code: str, odds: bool, also: Container[str]) -> bool:
    """Whether the rule of a code ran at all."""
    if code in also:
        return True
    return code in rule_files() and (odds or not load_rule(code).rule.needs_odds)


def _as_before(finding: Finding, entry: KnownFinding) -> bool:
    """Whether a finding is no worse than its entry says."""
    return (
        can_be_known(finding)
        and finding.severity <= Severity.from_word(entry.severity)
        and not clearly_worse(entry.measured, finding.measured, finding.limit)
    )


def _badness(finding: Finding) -> tuple[int, float]:
    """Grows with severity, and with the distance of the value from its limit."""
    value, limit = finding.measured, finding.limit
    if value is None or math.isnan(value):
        return finding.severity, 0.0
    return finding.severity, abs(value - limit) if limit is not None else abs(value)
