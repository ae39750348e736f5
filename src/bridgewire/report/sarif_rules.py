"""The rules of a SARIF log: what each code means, from the page of its rule."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import FAMILIES, SECTIONS
from bridgewire.rules.registry import LoadedRule, load_rule, page_sections, rule_files

LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.INFO: "note"}
"""SARIF's word for each severity."""


def rule_descriptors(
    codes: Iterable[str], others: Sequence[LoadedRule] = ()
) -> list[dict[str, Any]]:
    """Describe rules.

    Parameters
    ----------
    codes : iterable of str
        Which rules, in the order to write.
    others : sequence of LoadedRule
        Rules of plugins. A code that nobody knows is described by itself alone.
    """
    brought = {loaded.rule.code: loaded for loaded in others}
    own = rule_files()
    made = []
    for code in codes:
        loaded = load_rule(code) if code in own else brought.get(code)
        made.append({"id": code} if loaded is None else _descriptor(loaded))
    return made


def _descriptor(loaded: LoadedRule) -> dict[str, Any]:
    rule = loaded.rule
    sections = page_sections(loaded.page)
    parts = [(title, sections[title]) for title in SECTIONS if title in sections]
    checks = _one_paragraph(sections.get("What it checks", ""))
    family = FAMILIES.get(rule.family, rule.family)
    properties = {"family": rule.family, "tags": [family], "since": rule.since}
    if loaded.origin:
        properties["origin"] = loaded.origin
    return {
        "id": rule.code,
        "name": "".join(word.capitalize() for word in rule.name.split("-")),
        "shortDescription": {"text": loaded.summary},
        "fullDescription": {"text": f"{loaded.summary} {checks}".strip()},
        "help": {
            "text": "\n\n".join(f"{title}\n\n{text}" for title, text in parts),
            "markdown": "\n\n".join(f"## {title}\n\n{text}" for title, text in parts),
        },
        "defaultConfiguration": {"level": LEVELS[rule.severity]},
        "properties": properties,
    }


def _one_paragraph(text: str) -> str:
    return " ".join(text.split())
