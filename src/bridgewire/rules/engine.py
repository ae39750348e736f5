"""Runs rules over a context: ignores, crashes as findings, order."""

from __future__ import annotations

from collections.abc import Iterable

from attrs import frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import NEVER_IGNORED
from bridgewire.rules.context import Context
from bridgewire.rules.registry import LoadedRule, all_rules

CRASH_CODE = "DOC017"


@frozen
class Ignored:
    """A finding that the show asked not to hear of."""

    finding: Finding
    reason: str


def run_rules(
    context: Context,
    rules: Iterable[LoadedRule] | None = None,
    also: Iterable[Finding] = (),
) -> tuple[tuple[Finding, ...], tuple[Ignored, ...]]:
    """Run rules.

    Parameters
    ----------
    context : Context
    rules : iterable of LoadedRule, optional
        All of bridgewire's own where absent.
    also : iterable of Finding
        Findings from elsewhere, to be put among those of the rules.

    Returns
    -------
    findings, ignored
        Worst first, then by code and place in the document.
    """
    found: list[Finding] = list(also)
    for loaded in all_rules() if rules is None else rules:
        if loaded.check is None:
            continue
        try:
            found.extend(loaded.check(context))
        except Exception as error:
            found.append(
                Finding(
                    CRASH_CODE,
                    f"rule {loaded.rule.code} failed ({type(error).__name__}: {error}); "
                    "what it checks was not checked",
                    Severity.ERROR,
                    remedy="report this as a fault of bridgewire, with the show if you can",
                    subjects=(loaded.rule.code,),
                )
            )
    kept: list[Finding] = []
    ignored: list[Ignored] = []
    for finding in found:
        reason = _ignore_reason(context, finding)
        if reason is None:
            kept.append(finding)
        else:
            ignored.append(Ignored(finding, reason))
    kept.sort(key=_order)
    return tuple(kept), tuple(ignored)


def _ignore_reason(context: Context, finding: Finding) -> str | None:
    """Why the show does not want to hear of a finding, if it may say so."""
    if finding.code in NEVER_IGNORED:
        return None
    for ignore in context.show.checks.ignore:
        if ignore.code == finding.code and (
            ignore.subject is None or ignore.subject in finding.subjects
        ):
            return ignore.reason
    return None


def _order(finding: Finding) -> tuple[int, str, str, list[tuple[int, str]]]:
    place = [(step, "") if isinstance(step, int) else (-1, step) for step in finding.path]
    return (-finding.severity, finding.code, finding.document, place)
