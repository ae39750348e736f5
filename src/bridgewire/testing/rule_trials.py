"""Runs a rule on its cases: what it finds, and whether that is what the case says."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from bridgewire.api import LoadedShow
from bridgewire.diagnostics import DocPath, Finding, format_path
from bridgewire.errors import InputError
from bridgewire.plugins.answers import PluginRule
from bridgewire.plugins.faults import DOCUMENT as PLUGINS
from bridgewire.rules.context import Context
from bridgewire.rules.engine import CRASH_CODE, run_rules
from bridgewire.rules.registry import LoadedRule, all_rules, load_rule, rule_files
from bridgewire.testing.case_files import CASE_DAY, RuleCase
from bridgewire.testing.problems import fail
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment

if TYPE_CHECKING:
    from bridgewire.uncertainty.study import OddsStudy


def findings_of_case(
    case: RuleCase, rule: PluginRule | LoadedRule | None = None
) -> tuple[Finding, ...]:
    """Run a case's own rule on it.

    Parameters
    ----------
    case : RuleCase
        The show, and the code of the rule.
    rule : PluginRule, optional
        One of bridgewire's own by the case's code where absent.

    Returns
    -------
    tuple of Finding
        Those of the case's code, each with its place in the file.

    Raises
    ------
    AssertionError
        If the rule fails, or the show ignores its code.
    InputError
        If the show cannot be loaded, and the rule is not one about that.

    Examples
    --------
    >>> import tempfile
    >>> from bridgewire.testing import small_show
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     show = small_show(folder, igniter="generic:clip-on-long", pulse_s=0.05)
    ...     found = findings_of_case(RuleCase("FIR001", show))
    >>> [finding.subjects for finding in found]
    [('cue 1', 'igniter 1')]
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
        The show, and the code of the rule.
    rule : PluginRule, optional
        One of bridgewire's own by the case's code where absent.

    Raises
    ------
    AssertionError
        In a ``fail_`` case: a finding that is expected is not there, or one has no message, no
        remedy, no place, or a path that is not in its document. In a ``pass_`` case: there is a
        finding, or the show does not load.

    Examples
    --------
    >>> import tempfile
    >>> from bridgewire.testing import small_show
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     assert_rule_case(RuleCase("FIR001", small_show(folder, name="pass_short_run.toml")))
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
