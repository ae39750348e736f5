"""Shows and kit profiles as pytest's tests."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest

from bridgewire.api import LoadedShow, Report, check, load_show
from bridgewire.diagnostics import Finding, Severity
from bridgewire.documents.document_kind import document_kind
from bridgewire.errors import InputError
from bridgewire.report.baseline_file import show_key
from bridgewire.report.findings_text import findings_lines
from bridgewire.report.problems import problem_lines
from bridgewire.testing.kit_profile import check_kit_profile
from bridgewire.testing.pytest_settings import baseline, baseline_file, fail_on, kit_dirs
from bridgewire.timeline.outcomes import CueOutcome

_WIDTH = 96
REST = "wiring and kit"
"""Name of the test of all findings that belong to no cue."""


class FoundError(Exception):
    """A test failed; its text is what a person should read."""


class DocumentFile(pytest.File):
    """A show or a kit profile."""


class DocumentItem(pytest.Item):
    """One test; a failure is shown as text, without a traceback."""

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        """What is printed under the test's name."""
        if isinstance(excinfo.value, FoundError):
            return str(excinfo.value)
        return super().repr_failure(excinfo, style)

    def reportinfo(self) -> tuple[Path, int | None, str]:
        """Heading of a failure."""
        return self.path, None, f"{self.path.name}: {self.name}"


def collect_document(path: Path, parent: pytest.Collector) -> DocumentFile | None:
    """The tests of a file, if it is a show or a kit profile."""
    kind = document_kind(path)
    if kind == "show":
        return ShowFile.from_parent(parent, path=path)
    if kind == "kit":
        return KitFile.from_parent(parent, path=path)
    return None


def _as_called(path: Path, config: pytest.Config) -> Path:
    """The path as seen from where pytest was called, for short messages."""
    here = config.invocation_params.dir
    if here == Path.cwd() and path.is_relative_to(here):
        return path.relative_to(here)
    return path


class KitFile(DocumentFile):
    """A kit profile: one test."""

    def collect(self) -> Iterator[pytest.Item]:
        """Yield the test."""
        yield KitItem.from_parent(self, name="conforms")


class KitItem(DocumentItem):
    """Whether a kit profile conforms."""

    def runtest(self) -> None:
        """Fail with every problem."""
        found = check_kit_profile(self.path, kit_dirs=kit_dirs(self.config))
        if found:
            shown = str(_as_called(self.path, self.config))
            raise FoundError("\n".join(str(p).replace(str(self.path), shown) for p in found))


class ShowFile(DocumentFile):
    """A show: one test for loading, one for each cue, one for everything else."""

    loaded: LoadedShow | None = None
    problems: Sequence[Finding] = ()

    def collect(self) -> Iterator[pytest.Item]:
        """Yield the tests. Only the loading is done at once: its cues have to be known."""
        try:
            shown = _as_called(self.path, self.config)
            self.loaded = load_show(shown, kit_dirs=kit_dirs(self.config))
        except InputError as error:
            self.problems = error.findings
        yield LoadsItem.from_parent(self, name="loads")
        if self.loaded is None:
            return
        for index, cue in enumerate(self.loaded.show.cue):
            yield CueItem.from_parent(self, name=f"cue {cue.id}", cue=index)
        yield RestItem.from_parent(self, name=REST)

    @cached_property
    def report(self) -> Report:
        """The report, computed by the first test that wants it."""
        if self.loaded is None:
            raise FoundError("the show does not load")
        report = check(self.loaded)
        file, known = baseline_file(self.config), baseline(self.config)
        if file is None or known is None:
            return report
        return report.against(known.of_show(show_key(str(self.path), file)))

    @cached_property
    def by_cue(self) -> dict[int | None, list[Finding]]:
        """Findings that count, by the cue that they belong to; None: to no cue."""
        least = Severity.from_word(fail_on(self.config))
        cues = {c.id: c.cue for c in self.report.cues}
        found: dict[int | None, list[Finding]] = defaultdict(list)
        for finding in self.report.findings:
            if finding.severity >= least:
                found[_cue_of(finding, cues)].append(finding)
        return found


def _cue_of(finding: Finding, cues: dict[str, int]) -> int | None:
    """Index of the cue that a finding is about first; every finding has one test."""
    if finding.document == "show" and finding.path[:1] == ("cue",) and len(finding.path) > 1:
        step = finding.path[1]
        return step if isinstance(step, int) else None
    return next((cues[s] for s in finding.subjects if s in cues), None)


def _told(findings: Iterable[Finding]) -> list[str]:
    return findings_lines(findings, width=_WIDTH, everything=True)


class ShowItem(DocumentItem):
    """A test of a show."""

    @property
    def file(self) -> ShowFile:
        """The show."""
        assert isinstance(self.parent, ShowFile)
        return self.parent


class LoadsItem(ShowItem):
    """Whether a show can be read and its wiring resolved."""

    def runtest(self) -> None:
        """Fail with every problem and its place."""
        if self.file.problems:
            raise FoundError(
                "\n\n".join("\n".join(problem_lines(f, _WIDTH)) for f in self.file.problems)
            )


class CueItem(ShowItem):
    """One cue of a show."""

    def __init__(self, *, cue: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.cue = cue

    def runtest(self) -> None:
        """Fail with the findings about the cue."""
        found = self.file.by_cue.get(self.cue)
        if found:
            headline = f"{_called(self.file.report.cues[self.cue])}; {_codes(found)}"
            raise FoundError("\n".join([headline, *_told(found)]))


def _called(cue: CueOutcome) -> str:
    way = "" if cue.way is None else f" on way {cue.way[0]}/{cue.way[1]}/{cue.way[2]}"
    verdict = "" if cue.verdict is None else f": {cue.verdict.value}"
    return f"cue {cue.id}{way} at {cue.switch_s:g} s{verdict}"


def _codes(findings: Iterable[Finding]) -> str:
    """Codes for the summary at the end of a run, which shows the first line of a failure."""
    return ", ".join(dict.fromkeys(f.code for f in findings))


class RestItem(ShowItem):
    """Everything that belongs to no cue."""

    def runtest(self) -> None:
        """Fail with these findings."""
        found = self.file.by_cue.get(None)
        if found:
            raise FoundError("\n".join([_codes(found), *_told(found)]))
