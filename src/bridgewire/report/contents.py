"""What a report writer asks of a report, whoever made it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.engine import Ignored
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict

if TYPE_CHECKING:
    from bridgewire.report.baseline import KnownFinding
    from bridgewire.uncertainty.study import OddsStudy


SEVERITY_NOUNS: Mapping[Severity, str] = {
    Severity.ERROR: "error",
    Severity.WARNING: "warning",
    Severity.INFO: "note",
}
"""What a person calls one finding of a severity."""


class UsedKit(Protocol):
    """A kit profile that a report rests on."""

    @property
    def id(self) -> str:
        """Id of the profile."""

    @property
    def version(self) -> str:
        """As the profile states it; may be empty."""

    @property
    def file(self) -> str:
        """Where it was read from."""

    @property
    def sha256(self) -> str:
        """Of the file."""


class Installed(Protocol):
    """Something that an installed package brings by an entry point."""

    @property
    def name(self) -> str:
        """Of the entry point."""

    @property
    def distribution(self) -> str:
        """The installed package."""

    @property
    def version(self) -> str:
        """Of the package."""


class UsedPlugin(Installed, Protocol):
    """A plugin that was loaded for a report."""

    @property
    def api_version(self) -> int:
        """The plugin API that it is for."""


class Checked(Protocol):
    """A report of one show; ``bridgewire.Report`` is one."""

    @property
    def file(self) -> str:
        """The show file as given."""

    @property
    def title(self) -> str:
        """Of the show."""

    @property
    def findings(self) -> Sequence[Finding]:
        """Worst first."""

    @property
    def ignored(self) -> Sequence[Ignored]:
        """Findings that do not count, by the show's own wish or by the group's baseline."""

    @property
    def known(self) -> Sequence[Ignored]:
        """Those of `ignored` that the group's baseline knows."""

    @property
    def stale(self) -> Sequence[KnownFinding]:
        """Entries of the baseline for this show that match nothing any more."""

    @property
    def cues(self) -> Sequence[CueOutcome]:
        """In the show's order."""

    @property
    def kits(self) -> Sequence[UsedKit]:
        """Profiles used."""

    @property
    def plugins(self) -> Sequence[UsedPlugin]:
        """Plugins loaded."""

    @property
    def sha256(self) -> str:
        """Of the show file."""

    @property
    def revision(self) -> str:
        """Short text that changes with the show, its cue list or a kit profile."""

    @property
    def version(self) -> str:
        """Of bridgewire."""

    @property
    def assessment(self) -> Assessment | None:
        """Everything computed."""

    @property
    def odds(self) -> OddsStudy | None:
        """Probabilities, where the check was asked for them."""

    def verdict_counts(self) -> Mapping[Verdict, int]:
        """How many igniter entries have each verdict."""


def severity_counts(report: Checked) -> dict[Severity, int]:
    """How many findings of each severity a report has, worst first."""
    counts = dict.fromkeys(sorted(Severity, reverse=True), 0)
    for finding in report.findings:
        counts[finding.severity] += 1
    return counts
