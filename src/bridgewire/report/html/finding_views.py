"""Findings as the page shows them: by severity and code, each with its place and remedy."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence

from attrs import frozen
from markupsafe import Markup

from bridgewire.diagnostics import Finding, Severity, format_path
from bridgewire.report.contents import Checked
from bridgewire.report.figures import number
from bridgewire.report.html.anchors import Anchors
from bridgewire.report.html.prose import arrows, prose
from bridgewire.report.plain_text import count, visible
from bridgewire.report.remedy_notes import Remedies, RemedyNote
from bridgewire.rules.base import FAMILIES, SECTIONS
from bridgewire.rules.registry import LoadedRule, all_rules, page_sections

SEVERITY_TITLES = {
    Severity.ERROR: ("Errors", "error"),
    Severity.WARNING: ("Warnings", "warning"),
    Severity.INFO: ("Notes", "note"),
}
_UNITS = {"ohm": "Ω", "C": "°C", "mm2": "mm²", "K": "K"}
_WHOLE = 6
"""Up to so many findings of a code are open from the start."""


@frozen
class CueLink:
    """A cue that a finding is about."""

    name: str
    anchor: str


@frozen
class FindingView:
    """One finding; texts as in the report, not escaped."""

    anchor: str
    code: str
    word: str
    message: str
    place: str
    path: str
    snippet: str
    figures: tuple[tuple[str, str], ...]
    remedy: str
    remedies: tuple[RemedyNote, ...]
    cues: tuple[CueLink, ...]
    others: str


@frozen
class CodeGroup:
    """Findings of one code and severity."""

    code: str
    name: str
    summary: str
    page: str
    """Anchor of the rule's page, empty where there is none."""
    open: bool
    findings: tuple[FindingView, ...]


@frozen
class SeverityGroup:
    """Findings of one severity."""

    title: str
    word: str
    count: int
    groups: tuple[CodeGroup, ...]


@frozen
class FindingsView:
    """All findings of a report, and which cue each concerns."""

    groups: tuple[SeverityGroup, ...]
    of_cue: Mapping[int, tuple[FindingView, ...]]


@frozen
class RulePage:
    """What ``bridgewire explain`` says about a code."""

    anchor: str
    code: str
    name: str
    facts: str
    summary: str
    sections: tuple[tuple[str, Markup], ...]


def findings_view(
    report: Checked,
    anchors: Anchors,
    pages: Mapping[str, str],
    cues_of: Callable[[Finding], Sequence[int]],
    remedies: Remedies | None,
) -> FindingsView:
    """Arrange the findings of a report.

    Parameters
    ----------
    report : Checked
    anchors : Anchors
        Those of the cues are given already.
    pages : mapping of code to anchor
        Of the rules' pages.
    cues_of : callable
        The cues (by index) that a finding concerns.
    remedies : callable or None
    """
    names = {r.rule.code: r for r in all_rules()}
    by_code: dict[Severity, dict[str, list[FindingView]]] = defaultdict(lambda: defaultdict(list))
    of_cue: dict[int, list[FindingView]] = defaultdict(list)
    counts: Counter[str] = Counter()
    for finding in report.findings:
        counts[finding.code] += 1
        concerned = list(dict.fromkeys(cues_of(finding)))
        view = _view(report, finding, counts[finding.code], anchors, concerned, remedies)
        by_code[finding.severity][finding.code].append(view)
        for cue in concerned:
            of_cue[cue].append(view)
    groups: list[SeverityGroup] = []
    for severity in sorted(by_code, reverse=True):
        title, word = SEVERITY_TITLES[severity]
        inner = tuple(
            _group(code, found, names.get(code), pages) for code, found in by_code[severity].items()
        )
        groups.append(SeverityGroup(title, word, sum(len(g.findings) for g in inner), inner))
    return FindingsView(tuple(groups), {k: tuple(v) for k, v in of_cue.items()})


def _group(
    code: str, found: list[FindingView], rule: LoadedRule | None, pages: Mapping[str, str]
) -> CodeGroup:
    return CodeGroup(
        code,
        "" if rule is None else rule.rule.name.replace("-", " "),
        "" if rule is None else rule.summary,
        pages.get(code, ""),
        len(found) <= _WHOLE,
        tuple(found),
    )


def _view(
    report: Checked,
    finding: Finding,
    nth: int,
    anchors: Anchors,
    cues: Sequence[int],
    remedies: Remedies | None,
) -> FindingView:
    place = finding.location
    links = tuple(CueLink(report.cues[c].id, anchors.of("cue", c)) for c in cues)
    linked = {link.name for link in links}
    others = [s for s in finding.subjects if s not in linked]
    more = f" and {len(others) - 8} more" if len(others) > 8 else ""
    path = format_path(finding.path)
    if finding.document != "show":
        path = f"{finding.document} {path}".strip()
    return FindingView(
        anchors.give("finding", (finding.code, nth), f"{finding.code}-{nth}"),
        finding.code,
        SEVERITY_TITLES[finding.severity][1],
        arrows(_sentence(finding.message)),
        "" if place is None else str(place),
        path,
        "" if place is None else place.snippet.strip()[:160],
        _figures(finding),
        arrows(_sentence(finding.remedy)) if finding.remedy else "",
        () if remedies is None else tuple(remedies(report, finding)),
        links,
        ", ".join(others[:8]) + more,
    )


def _figures(finding: Finding) -> tuple[tuple[str, str], ...]:
    """Value and limit with their unit; none for a count, which the sentence has."""
    if not finding.unit and all(_is_count(v) for v in (finding.measured, finding.limit)):
        return ()
    unit = _UNITS.get(finding.unit, finding.unit)
    rows = (("value", finding.measured), ("limit", finding.limit))
    return tuple((name, _figure(value, unit)) for name, value in rows if value is not None)


def _is_count(value: float | None) -> bool:
    return value is None or value.is_integer()


def _figure(value: float, unit: str) -> str:
    if math.isinf(value):
        return "never" if unit == "s" else "without end"
    if math.isnan(value):
        return "not known"
    return f"{number(value)} {unit}".rstrip()


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else text + "."


def rule_pages(codes: Iterable[str], anchors: Anchors) -> tuple[RulePage, ...]:
    """The pages of some codes, in order; codes of plugins' rules have none."""
    rules = {r.rule.code: r for r in all_rules()}
    return tuple(_page(rules[c], anchors) for c in sorted(set(codes)) if c in rules)


def _page(loaded: LoadedRule, anchors: Anchors) -> RulePage:
    rule = loaded.rule
    sections = page_sections(loaded.page)
    word = SEVERITY_TITLES[rule.severity][1]
    return RulePage(
        anchors.give("rule", rule.code, rule.code),
        rule.code,
        rule.name.replace("-", " "),
        f"{FAMILIES.get(rule.family, rule.family)}, {word} unless the finding says otherwise",
        loaded.summary,
        tuple((title, prose(sections[title])) for title in SECTIONS if sections.get(title)),
    )


@frozen
class IgnoredView:
    """Findings that the show asked not to hear of, by code and reason."""

    code: str
    reason: str
    count: str
    messages: tuple[str, ...]


def ignored_view(report: Checked) -> tuple[IgnoredView, ...]:
    """Group what the show ignores."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for ignored in report.ignored:
        found[ignored.finding.code, ignored.reason].append(
            arrows(_sentence(ignored.finding.message))
        )
    return tuple(
        IgnoredView(code, visible(reason), count(len(texts), "finding"), tuple(texts))
        for (code, reason), texts in found.items()
    )
