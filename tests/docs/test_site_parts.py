"""Parts of the site's build that need no mkdocs: links, formulas, generated pages."""

from __future__ import annotations

import doctest
import importlib
import sys
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest

from bridgewire.cli.main import COMMANDS
from bridgewire.rules.registry import rule_files
from tests.docs.page_tools import DOCS, ROOT
from tests.oracles import oracle_or_skip

Part = Callable[[str], ModuleType]


@pytest.fixture
def part(monkeypatch: pytest.MonkeyPatch) -> Iterator[Part]:
    """Imports a module of docs/site by its name."""
    monkeypatch.syspath_prepend(str(DOCS))
    monkeypatch.syspath_prepend(str(DOCS / "site"))
    before = set(sys.modules)
    yield importlib.import_module
    for name in set(sys.modules) - before:
        file = getattr(sys.modules[name], "__file__", None) or ""
        if file.startswith(str(DOCS)):
            del sys.modules[name]


@pytest.mark.parametrize(
    ("uri", "link", "there"),
    [
        ("index.md", "physics.md#supply", "physics.md#supply"),
        ("index.md", "../README.md", "project/overview.md"),
        ("index.md", "../DEVELOPERS.md#layout", "project/contributing.md#layout"),
        ("index.md", "rules.md", "rules.md"),
        ("index.md", "rules.md#kit004", "rules/kit004.md"),
        ("index.md", "../examples/jetty-trial.toml", "files/examples/jetty-trial.toml"),
        ("index.md", "https://example.org/a.md", "https://example.org/a.md"),
        ("index.md", "#words", "#words"),
        ("project/overview.md", "docs/rules.md#fir001", "../rules/fir001.md"),
        ("project/overview.md", "docs/img/check.svg", "../img/check.svg"),
        ("project/overview.md", "LICENSE", "../files/LICENSE"),
        ("project/overview.md", "CHANGELOG.md", "changes.md"),
    ],
)
def test_links_are_those_of_the_site(part: Part, uri: str, link: str, there: str) -> None:
    links = part("site_links")
    text = f"a [link]({link})\n```text\n[link]({link})\n```\n"
    assert links.site_links(uri, text) == f"a [link]({there})\n```text\n[link]({link})\n```\n"


def test_files_that_pages_link_to_are_found_but_not_those_in_code(part: Part) -> None:
    links = part("site_links")
    text = (
        "[a](../LICENSE) [b](physics.md) [c](../nothing-there)\n```\n[d](../pyproject.toml)\n```\n"
    )
    assert links.outside_files("index.md", text) == {"files/LICENSE"}


def test_formulas(part: Part) -> None:
    oracle_or_skip("latex2mathml")
    mathml = part("mathml")
    page = r'<p><span class="arithmatex">\(a &lt; b\)</span> <code>\(x\)</code></p>'
    found = mathml.with_mathml(page)
    assert "<math" in found
    assert "<mo>&#x0003C;</mo>" in found
    assert r"<code>\(x\)</code>" in found
    with pytest.raises(ValueError, match="cannot be converted"):
        mathml.with_mathml(r'<div class="arithmatex">\[\unknowncommand{x}\]</div>')


@pytest.mark.parametrize("name", ["markdown_text", "mathml"])
def test_examples_in_docstrings(part: Part, name: str) -> None:
    oracle_or_skip("latex2mathml")
    result = doctest.testmod(part(name))
    assert result.attempted > 0
    assert result.failed == 0


def test_generated_pages_are_whole(part: Part) -> None:
    pages = part("reference_commands").command_pages()
    assert len(pages) == len(COMMANDS) + 1
    rules = part("reference_rules").rule_pages()
    assert len(rules) == len(rule_files())
    overview = part("reference_rules").rules_overview()
    for code in rule_files():
        assert f'<a id="{code.lower()}"></a>[{code}](rules/{code.lower()}.md)' in overview
    schemas = part("reference_schemas").schema_pages()
    assert len(schemas) == 1 + len(list((ROOT / "src/bridgewire/schemas").glob("*.json")))
    for text in [text for _, text in (pages | rules | schemas).values()]:
        assert text.startswith("# ")
        assert "None |" not in text
