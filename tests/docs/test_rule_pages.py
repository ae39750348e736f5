"""docs/rules.md is what the rules say today."""

from __future__ import annotations

from bridgewire.rules.registry import rule_files
from tests.docs.page_tools import DOCS, script


def test_page_of_the_rules_is_not_stale() -> None:
    text = script("make_rule_pages").page_text()
    stored = (DOCS / "rules.md").read_text(encoding="utf-8")
    assert stored == text, "run: python docs/make_rule_pages.py"


def test_page_has_every_rule_once() -> None:
    stored = (DOCS / "rules.md").read_text(encoding="utf-8")
    for code in rule_files():
        assert stored.count(f'<a id="{code.lower()}"></a>{code}\n') == 1
