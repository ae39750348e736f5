"""Finds the rule files of this folder. Importing a rule by code loads that one file only."""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Callable, Iterable
from functools import cache

from attrs import frozen

from bridgewire.diagnostics import Finding
from bridgewire.rules.base import SECTIONS, Rule
from bridgewire.rules.context import Context
from bridgewire.rules.files import rule_files as rule_files

Check = Callable[[Context], Iterable[Finding]]


@frozen
class LoadedRule:
    """A rule with its function and its page."""

    rule: Rule
    check: Check | None
    page: str
    """The docstring of its file, cleaned."""
    origin: str = ""
    """The plugin that it comes from, in words; empty for bridgewire's own."""

    @property
    def summary(self) -> str:
        """First line of the page."""
        return self.page.split("\n", 1)[0]

    def section(self, title: str) -> str:
        """Text of one section of the page; empty if there is none."""
        return page_sections(self.page).get(title, "")


def load_rule(code: str) -> LoadedRule:
    """Load one rule.

    Raises
    ------
    KeyError
        If there is no rule of this code.
    """
    module = importlib.import_module(rule_files()[code])
    rule: Rule = module.RULE
    return LoadedRule(rule, getattr(module, "check", None), inspect.cleandoc(module.__doc__ or ""))


@cache
def all_rules() -> tuple[LoadedRule, ...]:
    """Every rule, in order of code."""
    return tuple(load_rule(code) for code in rule_files())


def page_sections(page: str) -> dict[str, str]:
    """Split a rule's page into its sections."""
    sections: dict[str, str] = {}
    title = ""
    lines: list[str] = []
    raw = page.splitlines()
    for i, line in enumerate(raw):
        underlined = i + 1 < len(raw) and re.fullmatch(r"-{3,}", raw[i + 1]) is not None
        if underlined and line in SECTIONS:
            sections[title] = "\n".join(lines).strip()
            title, lines = line, []
        elif not re.fullmatch(r"-{3,}", line):
            lines.append(line)
    sections[title] = "\n".join(lines).strip()
    sections.pop("", None)
    return sections
