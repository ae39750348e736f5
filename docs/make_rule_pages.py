"""Writes docs/rules.md from the pages of the rules. Run: python docs/make_rule_pages.py"""

from __future__ import annotations

import sys
from pathlib import Path

from bridgewire.rules.base import FAMILIES, NEVER_IGNORED, SECTIONS
from bridgewire.rules.registry import LoadedRule, all_rules

PAGE = Path(__file__).parent / "rules.md"

HEAD = """# Rules

This page is written by `python docs/make_rule_pages.py` from the rules themselves. The same text
comes from `bridgewire explain CODE`. {count} rules, by family:

{families}

The severity is the usual one; some rules give a finding less weight where only the worst corner is
concerned. A rule *at load* judges the files as they are read. While one of those findings is an
error, the show is not checked further, and no `[[checks.ignore]]` can silence it. Nor can one
silence what another command than `check` finds, or what says that the check itself went wrong.
"""

FOUND_BY = {"REC": "by `bridgewire readings`", "CUT": "by `bridgewire sheets`"}
"""Commands that find what no check does, by family."""


def page_text() -> str:
    """The whole page."""
    rules = all_rules()
    families = [
        f"- **{letters}**, {words}: {_links(letters, rules)}"
        for letters, words in FAMILIES.items()
        if any(r.rule.family == letters for r in rules)
    ]
    head = HEAD.format(count=len(rules), families="\n".join(families))
    return head + "".join(rule_text(r) for r in rules)


def _links(letters: str, rules: tuple[LoadedRule, ...]) -> str:
    codes = [r.rule.code for r in rules if r.rule.family == letters]
    return ", ".join(f"[{code}](#{code.lower()})" for code in codes)


def rule_text(loaded: LoadedRule) -> str:
    """What the page says of one rule."""
    rule = loaded.rule
    facts = [f"`{rule.name}`", rule.severity.word, f"since {rule.since}"]
    if rule.status != "stable":
        facts.append(rule.status)
    if rule.code in NEVER_IGNORED:
        facts.append("cannot be ignored")
    elif rule.at_load:
        facts.append(FOUND_BY.get(rule.family, "at load"))
    if rule.needs_odds:
        facts.append("with `--odds` only")
    parts = [f'\n## <a id="{rule.code.lower()}"></a>{rule.code}', ", ".join(facts), loaded.summary]
    parts += [f"**{title}.** {_markdown(loaded.section(title))}" for title in SECTIONS]
    return "\n\n".join(parts) + "\n"


def _markdown(text: str) -> str:
    """Docstrings mark code with double backticks or single ones."""
    return text.replace("``", "`")


def main(arguments: list[str]) -> int:
    """Write the page, or with ``--check`` only tell whether it is stale."""
    text = page_text()
    if "--check" not in arguments:
        PAGE.write_text(text, encoding="utf-8")
    elif not PAGE.is_file() or PAGE.read_text(encoding="utf-8") != text:
        print(f"{PAGE} is stale; run: python docs/make_rule_pages.py")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
