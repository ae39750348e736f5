"""The page of a rule, and the list of all rules, for a terminal."""

from __future__ import annotations

from collections.abc import Iterable

from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import visible, wrap
from bridgewire.rules.base import FAMILIES, SECTIONS
from bridgewire.rules.registry import LoadedRule, page_sections


def rule_page(loaded: LoadedRule, width: int = 80, ink: Ink = PLAIN) -> str:
    """Write a rule's page.

    Parameters
    ----------
    loaded : LoadedRule
    width : int
    ink : Ink
    """
    rule = loaded.rule
    lines = [ink(f"{rule.code} {rule.name}", "bold"), *wrap(loaded.summary, width), ""]
    facts = f"{rule.severity.word}; {FAMILIES.get(rule.family, rule.family)}; since {rule.since}"
    lines.append(ink(facts, "faint"))
    if loaded.origin:
        lines.append(ink(f"from {visible(loaded.origin)}", "faint"))
    sections = page_sections(loaded.page)
    for title in SECTIONS:
        if title in sections:
            lines += ["", ink(title, "bold"), *_paragraphs(sections[title], width)]
    return "\n".join(lines) + "\n"


def rule_list(rules: Iterable[LoadedRule], width: int = 80, ink: Ink = PLAIN) -> str:
    """List rules with their severity and summary, by family."""
    lines: list[str] = []
    family = ""
    for loaded in rules:
        if loaded.rule.family != family:
            family = loaded.rule.family
            title = FAMILIES.get(family) or f"from {visible(loaded.origin)}"
            lines += [*([""] if lines else []), ink(f"{family}: {title}", "bold")]
        head = f"  {loaded.rule.code}  {loaded.rule.severity.word:<8} "
        lines += wrap(loaded.summary, width, head)
    return "\n".join(lines) + "\n"


def _paragraphs(text: str, width: int) -> list[str]:
    """Wrap paragraphs afresh; indented blocks and list entries keep their lines."""
    lines: list[str] = []
    for block in text.split("\n\n"):
        raw = block.splitlines()
        if any(line.startswith(("    ", "- ", "* ")) for line in raw):
            lines += [*(f"  {line}".rstrip() for line in raw), ""]
        else:
            lines += [*wrap(" ".join(line.strip() for line in raw), width, "  "), ""]
    return lines[:-1]
