"""Whether a rule has what its readers need: code, name, page."""

from __future__ import annotations

import re
from collections.abc import Iterator

from bridgewire.diagnostics import Severity
from bridgewire.plugins.answers import PluginRule
from bridgewire.plugins.wrappers import CODES
from bridgewire.rules.base import SECTIONS
from bridgewire.rules.registry import LoadedRule, page_sections
from bridgewire.testing.problems import fail

_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_STATUS = ("stable", "preview", "deprecated")
_COLUMNS = 100


def assert_rule_page(rule: PluginRule | LoadedRule) -> None:
    """Assert that a rule's metadata are sane and its page has all sections.

    The page begins with one sentence and an empty line. Then come the sections of
    `bridgewire.plugins.RULE_SECTIONS`, each with a line of hyphens under its title, in their
    order, none of them empty or unfinished, no line longer than 100 characters.

    Parameters
    ----------
    rule : PluginRule
        The code of a plugin's rule is X, two letters and three digits.

    Raises
    ------
    AssertionError
        With everything that is wrong.

    Examples
    --------
    >>> from bridgewire.rules.registry import load_rule
    >>> assert_rule_page(load_rule("FIR001"))
    """
    __tracebackhide__ = True
    wrong = [*_metadata(rule), *_page(rule.page)]
    if wrong:
        fail(f"rule {rule.rule.code}:", wrong)


def _metadata(rule: PluginRule | LoadedRule) -> Iterator[str]:
    data = rule.rule
    pattern = CODES if isinstance(rule, PluginRule) else re.compile(r"[A-Z]{3}\d{3}")
    if not pattern.fullmatch(data.code):
        yield f"the code {data.code!r} is not in the range for its rule (plugins: XAA001 to XZZ999)"
    if not _NAME.fullmatch(data.name):
        yield f"the name {data.name!r} is not lower-case words joined by hyphens"
    if not isinstance(data.severity, Severity):
        yield f"the severity is {data.severity!r}"
    if data.status not in _STATUS:
        yield f"the status {data.status!r} is none of {', '.join(_STATUS)}"
    if not re.fullmatch(r"\d+(\.\d+)+", data.since):
        yield f"since {data.since!r} is no version"


def _page(page: str) -> Iterator[str]:
    lines = page.split("\n")
    summary = lines[0]
    if not summary.endswith(".") or not summary[:1].isupper():
        yield f"the page does not begin with one sentence: {summary!r}"
    if len(lines) < 2 or lines[1]:
        yield "there is no empty line after the page's first sentence"
    sections = page_sections(page)
    if tuple(sections) != SECTIONS:
        yield f"the sections are {', '.join(sections) or 'none'}; expected {', '.join(SECTIONS)}"
    for title, text in sections.items():
        if not text:
            yield f"the section {title!r} is empty"
        if re.search(r"\b(TODO|FIXME|TBD)\b", text):
            yield f"the section {title!r} is unfinished"
    for line in lines:
        if len(line) > _COLUMNS:
            yield f"a line is longer than {_COLUMNS} characters: {line[:40]!r}…"
