"""Pages of the rules: one for each, and a list of all that keeps the addresses of docs/rules.md."""

from __future__ import annotations

import make_rule_pages

from bridgewire.rules.base import FAMILIES
from bridgewire.rules.registry import LoadedRule, all_rules

FOLDER = "rules/"


def rule_pages() -> dict[str, tuple[str, str]]:
    """Title and text by address, in the order of the families."""
    rules = [r for letters in FAMILIES for r in all_rules() if r.rule.family == letters]
    return {f"{FOLDER}{r.rule.code.lower()}.md": (_title(r), _page(r)) for r in rules}


def rules_overview() -> str:
    """The page ``rules.md`` of the site: a table of codes for each family."""
    rules = all_rules()
    parts = [make_rule_pages.HEAD.split("{count}")[0].strip(), f"{len(rules)} rules."]
    parts.append(make_rule_pages.HEAD.split("{families}")[1].strip())
    for letters, words in FAMILIES.items():
        rows = [_row(r) for r in rules if r.rule.family == letters]
        if rows:
            head = ["| Code | Severity | What it finds |", "|---|---|---|"]
            parts += [f"## {letters}: {words}", "\n".join(head + rows)]
    return "\n\n".join(parts) + "\n"


def _row(loaded: LoadedRule) -> str:
    code, summary = loaded.rule.code, loaded.summary.replace("|", "\\|").replace("``", "`")
    link = f'<a id="{code.lower()}"></a>[{code}]({FOLDER}{code.lower()}.md)'
    return f"| {link} | {loaded.rule.severity.word} | {summary} |"


def _title(loaded: LoadedRule) -> str:
    return f"{loaded.rule.code} {loaded.rule.name.replace('-', ' ')}"


def _page(loaded: LoadedRule) -> str:
    heading, _, rest = make_rule_pages.rule_text(loaded).lstrip().partition("\n")
    assert heading.startswith("## "), heading
    # Links to other rules are those of one page.
    return f"# {_title(loaded)}\n{rest}\n[All rules](../rules.md)\n"
