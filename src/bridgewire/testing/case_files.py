"""Cases of rules as files: whole show documents under ``<folder>/<CODE>/``.

A ``fail_`` file starts with comments that say which findings it must give; a ``pass_`` file must
load and give none of its code::

    # expect: path=cue[0].pulse_s; text=some words of the message
    # expect: path=cable[1].ohm_per_m; document=kit:bench

Fields: ``path`` (required; empty for the whole document), ``text``, ``document`` (``show`` where
absent) and ``severity``. Each line is one finding that must be there.

The day of every case is `CASE_DAY`, so that no result hangs on the calendar.

A case of a rule that reads odds states how they are drawn; ``seed`` is 1 where absent::

    # odds: draws=2000; seed=1
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Sequence
from itertools import takewhile
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from attrs import frozen

from bridgewire.api import LoadedShow, load_show
from bridgewire.diagnostics import DocPath, Finding, format_path
from bridgewire.errors import InputError
from bridgewire.plugins.answers import PluginRule
from bridgewire.plugins.faults import DOCUMENT as PLUGINS
from bridgewire.rules.context import Context
from bridgewire.rules.engine import CRASH_CODE, run_rules
from bridgewire.rules.registry import LoadedRule, all_rules, load_rule, rule_files
from bridgewire.testing.problems import fail
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment

if TYPE_CHECKING:
    from bridgewire.uncertainty.study import OddsStudy

_EXPECT = re.compile(r"#\s*expect:\s*(.*)")
_ODDS = re.compile(r"#\s*odds:\s*draws=(\d+)(?:;\s*seed=(\d+))?\s*")
_FIELDS = ("path", "text", "document", "severity")
_PREFIXES = ("fail_", "pass_")
CASE_DAY = datetime.date(2026, 7, 1)
"""The day on which every case is checked."""


@frozen
class Expected:
    """One finding that a case must give.

    Attributes
    ----------
    path : str
        As `bridgewire` writes it: ``cue[3].pulse_s``.
    text : str
        Words of the message.
    document : str
        ``show``, or ``kit:<id>``.
    severity : str
        ``info``, ``warning`` or ``error``; any where empty.
    """

    path: str
    text: str = ""
    document: str = "show"
    severity: str = ""

    def __str__(self) -> str:
        stated = {n: getattr(self, n) for n in _FIELDS}
        return "; ".join(f"{n}={v}" for n, v in stated.items() if v or n == "path")

    def matches(self, finding: Finding) -> bool:
        """Whether a finding is the expected one.

        >>> Expected("cue[0]", "late").matches(Finding("XAB001", "is 2 s late", path=("cue", 0)))
        True
        """
        return (
            format_path(finding.path) == self.path
            and self.text in finding.message
            and self.document == finding.document
            and self.severity in ("", finding.severity.word)
        )


@frozen
class RuleCase:
    """One case file.

    Attributes
    ----------
    code : str
        Of the rule: the name of the file's folder.
    file : Path
    kit_dirs : tuple of Path
        Folders with the kit profiles that the show names.
    """

    code: str
    file: Path
    kit_dirs: tuple[Path, ...] = ()

    @property
    def name(self) -> str:
        """``WIR001/fail_no_cue``: of use as the id of a test."""
        return f"{self.code}/{self.file.stem}"

    @property
    def should_fail(self) -> bool:
        """Whether the rule has to find its fault."""
        return self.file.name.startswith("fail_")

    def expected(self) -> tuple[Expected, ...]:
        """What the comments at the head of the file ask for.

        Raises
        ------
        ValueError
            If one cannot be read.
        """
        found: list[Expected] = []
        for line in self._comments():
            match = _EXPECT.match(line)
            if match is None:
                continue
            fields: dict[str, str] = {}
            for piece in match[1].split(";"):
                key, equals, value = piece.strip().partition("=")
                if not equals or key not in _FIELDS or key in fields:
                    raise ValueError(f"{self.name}: cannot read {piece.strip()!r}")
                fields[key] = value.strip()
            if "path" not in fields:
                raise ValueError(f"{self.name}: {line!r} states no path")
            found.append(Expected(**fields))
        return tuple(found)

    def odds(self) -> tuple[int, int] | None:
        """Draws and seed of the odds that the case needs; None where it needs none.

        Raises
        ------
        ValueError
            If the comment cannot be read.
        """
        for line in self._comments():
            if line.lstrip("# ").startswith("odds:"):
                match = _ODDS.fullmatch(line)
                if match is None:
                    raise ValueError(f"{self.name}: cannot read {line!r}")
                return int(match[1]), int(match[2] or 1)
        return None

    def _comments(self) -> list[str]:
        """The comments at the head of the file."""
        # Cases of unreadable files are no UTF-8, but their first lines are plain ASCII.
        text = self.file.read_bytes().decode("utf-8", "replace")
        return list(takewhile(lambda line: line.startswith("#"), text.splitlines()))

    def load(self) -> LoadedShow:
        """Load the show.

        Raises
        ------
        InputError
            As `bridgewire.load_show`.
        """
        return load_show(self.file, kit_dirs=self.kit_dirs)


def rule_cases(
    folder: str | PathLike[str], *, kit_dirs: Iterable[str | PathLike[str]] = ()
) -> list[RuleCase]:
    """List the cases under a folder.

    Parameters
    ----------
    folder : path
        Holds a folder for each code, with ``fail_*`` and ``pass_*`` files.
    kit_dirs : iterable of path
        Folders with the kit profiles that the cases name.

    Returns
    -------
    list of RuleCase
        In order of code and file name.

    Raises
    ------
    ValueError
        If there is none: a test over no cases would pass.

    Examples
    --------
    >>> rule_cases("no such folder")
    Traceback (most recent call last):
        ...
    ValueError: no fail_ or pass_ files in the folders of 'no such folder'
    """
    dirs = tuple(Path(d) for d in kit_dirs)
    found = [
        RuleCase(file.parent.name, file, dirs)
        for file in sorted(Path(folder).glob("*/*.*"))
        if file.name.startswith(_PREFIXES)
    ]
    if not found:
        raise ValueError(f"no fail_ or pass_ files in the folders of {str(folder)!r}")
    return found


def findings_of_case(
    case: RuleCase, rule: PluginRule | LoadedRule | None = None
) -> tuple[Finding, ...]:
    """Findings of the case's own rule, with their places.

    Parameters
    ----------
    case : RuleCase
    rule : PluginRule, optional
        One of bridgewire's own by the case's code where absent.

    Raises
    ------
    AssertionError
        If the rule fails, or the show ignores its code.
    InputError
        If the show cannot be loaded, and the rule is not one about that.
    """
    __tracebackhide__ = True
    loaded_rule = _loaded(case, rule)
    if loaded_rule.rule.at_load:
        try:
            case.load()
        except InputError as error:
            return tuple(f for f in error.findings if f.code == case.code)
        return ()
    loaded = case.load()
    assessment = assess(loaded.layout)
    context = Context(assessment, odds=_odds_for(case, assessment), today=CASE_DAY)
    if loaded_rule.rule.last:
        found, _ = run_rules(context, (*all_rules(), loaded_rule) if rule else None)
        return loaded.located(f for f in found if f.code == case.code)
    findings, ignored = run_rules(context, [loaded_rule])
    if ignored:
        fail(f"{case.name}: a case must not ignore its own code")
    strange = [f.message for f in findings if f.code != case.code]
    if strange:
        crashed = any(f.code == CRASH_CODE or f.document == PLUGINS for f in findings)
        what = "the rule failed" if crashed else "findings of other codes"
        fail(f"{case.name}: {what}:", strange)
    return loaded.located(findings)


def _odds_for(case: RuleCase, assessment: Assessment) -> OddsStudy | None:
    asked = case.odds()
    if asked is None:
        return None
    from bridgewire.uncertainty.study import study_odds

    draws, seed = asked
    return study_odds(assessment, draws=draws, seed=seed)


def assert_rule_case(case: RuleCase, rule: PluginRule | LoadedRule | None = None) -> None:
    """Assert that a rule finds what a case says, and that its findings are fit to be shown.

    Parameters
    ----------
    case : RuleCase
    rule : PluginRule, optional
        One of bridgewire's own by the case's code where absent.

    Raises
    ------
    AssertionError
        In a ``fail_`` case: a finding that is expected is not there, or one has no message, no
        remedy, no place, or a path that is not in its document. In a ``pass_`` case: there is a
        finding, or the show does not load.
    """
    __tracebackhide__ = True
    if not case.should_fail:
        _load_or_fail(case)
        found = findings_of_case(case, rule)
        if found:
            fail(f"{case.name} should give nothing, but gave:", _told(found))
        return
    expected = case.expected()
    if not expected:
        fail(f"{case.name} does not start with '# expect: path=...'")
    at_load = _loaded(case, rule).rule.at_load
    if not at_load:
        _load_or_fail(case)
    found = findings_of_case(case, rule)
    absent = [e for e in expected if not any(e.matches(f) for f in found)]
    if absent:
        fail(f"{case.name} did not give:", [*absent, "but gave:", *_told(found)])
    unfit = [w for f in found for w in _unfit(f, None if at_load else case.load())]
    if unfit:
        fail(f"{case.name}: findings that nobody can act on:", unfit)


def _loaded(case: RuleCase, rule: PluginRule | LoadedRule | None) -> LoadedRule:
    if rule is None:
        if case.code not in rule_files():
            fail(f"{case.name}: bridgewire has no rule {case.code}; pass the plugin's own")
        return load_rule(case.code)
    if rule.rule.code != case.code:
        fail(f"{case.name} is no case of {rule.rule.code}")
    return LoadedRule(rule.rule, rule.check, rule.page)


def _load_or_fail(case: RuleCase) -> LoadedShow:
    __tracebackhide__ = True
    try:
        return case.load()
    except InputError as error:
        fail(f"{case.name} does not load:", _told(error.findings))


def _told(findings: Sequence[Finding]) -> list[str]:
    if not findings:
        return ["nothing"]
    return [
        f"{f.code} {f.severity.word} at {f.document} {format_path(f.path)}: {f.message}"
        for f in findings
    ]


def _unfit(finding: Finding, loaded: LoadedShow | None) -> list[str]:
    """What keeps a finding from being shown; places are looked up where the show loads."""
    wrong: list[str] = []
    text = f"{finding.code} {finding.message!r}"
    if not finding.message or not finding.message.isprintable() or finding.message.endswith("."):
        wrong.append(f"{text}: the message is one printable sentence without a full stop")
    if finding.location is None:
        wrong.append(f"{text}: has no place in a file")
    if loaded is None:
        return wrong
    if not finding.remedy:
        wrong.append(f"{text}: says not what to do")
    document = loaded.document
    if finding.document != "show":
        kit = loaded.kits.get(finding.document.removeprefix("kit:"))
        if kit is None:
            return [*wrong, f"{text}: there is no document {finding.document!r}"]
        document = kit.document
    if not _path_exists(finding.path, document.data):
        wrong.append(f"{text}: there is no {format_path(finding.path)} in its document")
    return wrong


def _path_exists(path: DocPath, data: Any) -> bool:
    for step in path:
        if isinstance(step, str):
            if not isinstance(data, dict) or step not in data:
                return False
        elif not isinstance(data, list) or not 0 <= step < len(data):
            return False
        data = data[step]
    return True
