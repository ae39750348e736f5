"""Runs rules over a context: ignores, crashes as findings, order."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from attrs import frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.show import Ignore
from bridgewire.rules.base import NEVER_IGNORED
from bridgewire.rules.context import Context
from bridgewire.rules.ignores import holds, matches
from bridgewire.rules.registry import LoadedRule, all_rules

CRASH_CODE = "DOC017"


@frozen
class Ignored:
    """A finding that does not count: the show asked not to hear of it, or the baseline knows it."""

    finding: Finding
    reason: str
    until: datetime.date | None = None
    """Last day on which the show does not want to hear of it; None for good."""
    baseline: bool = False
    """Whether it is known from the group's baseline file; the show says nothing of it then."""


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
    chosen = all_rules() if rules is None else tuple(rules)
    for loaded in sorted(chosen, key=lambda r: r.rule.last):
        if loaded.check is None:
            continue
        if loaded.rule.last:
            context.found = tuple(found)
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
        ignore = _ignore_of(context, finding)
        if ignore is None:
            kept.append(finding)
        else:
            ignored.append(Ignored(finding, ignore.reason, ignore.until))
    kept.sort(key=_order)
    return tuple(kept), tuple(ignored)


def _ignore_of(context: Context, finding: Finding) -> Ignore | None:
    """The entry by which the show does not want to hear of a finding, if it may say so."""
    if finding.code in NEVER_IGNORED:
        return None
    for ignore in context.show.checks.ignore:
        if matches(ignore, finding) and holds(ignore, context.today):
            return ignore
    return None


def _order(finding: Finding) -> tuple[int, str, str, list[tuple[int, str]]]:
    place = [(step, "") if isinstance(step, int) else (-1, step) for step in finding.path]
    return (-finding.severity, finding.code, finding.document, place)
