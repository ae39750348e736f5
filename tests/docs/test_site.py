"""The documentation as a site: built with warnings as errors, and looked at in a browser."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote, urlsplit

import pytest

from bridgewire.cli.main import COMMANDS
from bridgewire.rules.registry import rule_files
from tests.browser.conftest import AXE
from tests.docs.page_tools import DOCS, PAGES, ROOT
from tests.headless import missing
from tests.oracles import oracle_or_skip

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = [pytest.mark.oracle, pytest.mark.slow]
SIZES = {"desktop": (1280, 900), "phone": (360, 740)}
LOOK_AT = ("index.html", "first-check.html", "show-file.html", "physics.html", "comparisons.html",
           "rules.html", "rules/fir001.html", "reference/commands/check.html",
           "reference/schemas/show-1.html", "reference/api/bridgewire.html", "glossary.html",
           "safety.html")  # fmt: skip
READ = ("index.html", "first-check.html", "physics.html", "rules/fir001.html",
        "reference/commands/check.html", "reference/api/bridgewire.html")  # fmt: skip


class Page(HTMLParser):
    """What a page of the site has: anchors, links, and what a browser would load with it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: set[str] = set()
        self.links: list[str] = []
        self.loads: list[str] = []
        self.counts: dict[str, int] = {}
        self.inside = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        fields = {k: v or "" for k, v in attrs}
        self.ids |= {fields[k] for k in ("id", "name") if k in fields}
        if tag == "a" and "href" in fields:
            self.links.append(fields["href"])
        loaded = {"script": "src", "img": "src", "link": "href", "iframe": "src"}.get(tag)
        if loaded in fields:
            self.loads.append(fields[loaded])
        if tag == "article":
            self.inside += 1
        if self.inside:
            self.counts[tag] = self.counts.get(tag, 0) + 1

    def handle_endtag(self, tag: str) -> None:
        self.inside -= tag == "article"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site, built as CI builds it."""
    for needed in ("material", "mkdocstrings", "latex2mathml", "ziamath", "fontTools"):
        oracle_or_skip(needed)
    folder = tmp_path_factory.mktemp("site")
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "-f"]
    done = subprocess.run(
        [*command, str(DOCS / "site" / "mkdocs.yml"), "-d", str(folder)],
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1", "BRIDGEWIRE_PLUGINS": "none"},
        capture_output=True,
        text=True,
        check=False,
        timeout=500,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "WARNING" not in done.stderr
    return folder


@pytest.fixture(scope="module")
def pages(site: Path) -> dict[str, Page]:
    """Every page, read."""
    return {
        file.relative_to(site).as_posix(): Page(file.read_text(encoding="utf-8"))
        for file in sorted(site.rglob("*.html"))
        if file.name != "404.html"  # its links begin at the top of a server
    }


def test_everything_has_a_page(pages: dict[str, Page]) -> None:
    wanted = {f"{page.stem}.html" for page in DOCS.glob("*.md")}
    wanted |= {f"reference/commands/{name}.html" for name in COMMANDS}
    wanted |= {f"rules/{code.lower()}.html" for code in rule_files()}
    schemas = (ROOT / "src/bridgewire/schemas").glob("*.json")
    wanted |= {f"reference/schemas/{file.stem}.html" for file in schemas}
    wanted |= {f"project/{name}.html" for name in ("overview", "contributing", "changes")}
    assert wanted - set(pages) == set()


def test_every_option_of_every_command_is_on_its_page(site: Path) -> None:
    import click

    from bridgewire.cli.main import main

    def options(command: click.Command, context: click.Context) -> Iterator[str]:
        for parameter in command.get_params(context):
            if isinstance(parameter, click.Option) and not parameter.hidden:
                yield from parameter.opts
        if isinstance(command, click.Group):
            inner = click.Context(command, parent=context)
            for name in command.list_commands(inner):
                below = command.get_command(inner, name)
                assert below is not None
                yield from options(below, inner)

    context = click.Context(main, **main.context_settings)
    for name in COMMANDS:
        command = main.get_command(context, name)
        assert command is not None
        text = (site / f"reference/commands/{name}.html").read_text(encoding="utf-8")
        for option in options(command, context):
            assert re.search(rf"<code>{re.escape(option)}[ <]", text), f"{name}: {option}"


def test_every_public_name_is_described(pages: dict[str, Page]) -> None:
    import importlib
    import inspect

    for module in ("bridgewire", "bridgewire.plugins", "bridgewire.tables", "bridgewire.testing"):
        page = pages[f"reference/api/{module}.html"]
        ids = {*page.ids, *(urlsplit(link).fragment for link in page.links)}
        found = importlib.import_module(module)
        for name in found.__all__:
            value = getattr(found, name)
            if inspect.isclass(value) or inspect.isroutine(value):
                assert f"{value.__module__}.{value.__qualname__}" in ids, name


def test_links_and_anchors_lead_somewhere(site: Path, pages: dict[str, Page]) -> None:
    wrong = []
    for name, page in pages.items():
        for link in {*page.links, *page.loads}:
            target = urlsplit(link)
            if target.scheme in ("http", "https", "mailto", "data"):
                continue
            path = (site / name).parent / unquote(target.path) if target.path else site / name
            if path.resolve().is_dir():
                path = path / "index.html"
            if not path.is_file():
                wrong.append(f"{name}: {link}")
            elif target.fragment and path.suffix == ".html":
                there = pages[path.resolve().relative_to(site.resolve()).as_posix()]
                if unquote(target.fragment) not in there.ids:
                    wrong.append(f"{name}: {link}")
    assert sorted(wrong) == []


def test_pages_load_nothing_from_elsewhere(site: Path, pages: dict[str, Page]) -> None:
    for name, page in pages.items():
        assert [u for u in page.loads if re.match(r"(https?:)?//", u)] == [], name
    for file in site.rglob("*.css"):
        text = file.read_text(encoding="utf-8")
        assert not re.search(r"url\(\s*[\"']?(https?:)?//|@import", text), file


def test_formulas_are_mathml(pages: dict[str, Page]) -> None:
    text = (DOCS / "physics.md").read_text(encoding="utf-8")
    outside = re.sub(r"^```.*?^```$|`[^`\n]+`", "", text, flags=re.M | re.S)
    blocks = len(re.findall(r"\$\$.*?\$\$", outside, re.S))
    inline = len(re.findall(r"\$[^$\n]+\$", re.sub(r"\$\$.*?\$\$", "", outside, flags=re.S)))
    assert pages["physics.html"].counts["math"] == blocks + inline > 20


ALIKE = [page for page in PAGES if page.name != "rules.md"]
"""rules.md is one page there, and one for each rule here."""


@pytest.mark.parametrize("source", ALIKE, ids=[p.name for p in ALIKE])
def test_markdown_means_the_same_to_both_readers(source: Path, pages: dict[str, Page]) -> None:
    """Lists, tables and code blocks are those of CommonMark, which code services show."""
    oracle_or_skip("cmarkgfm")
    import cmarkgfm

    homes = {"README.md": "project/overview", "DEVELOPERS.md": "project/contributing"}
    name = homes.get(source.name, source.stem) + ".html"
    theirs = Page(
        "<article>" + cmarkgfm.github_flavored_markdown_to_html(source.read_text(encoding="utf-8"))
    )
    ours = pages[name]
    for tag in ("li", "ol", "td", "pre", "blockquote"):
        assert ours.counts.get(tag, 0) == theirs.counts.get(tag, 0), f"<{tag}>"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", list(SIZES))
def test_pages_are_quiet_and_fit(site: Path, browser: Browser, size: str, scheme: str) -> None:
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if scheme == "dark" else "light",
    )
    page = context.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    for name in LOOK_AT:
        page.goto((site / name).as_uri(), wait_until="load")
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{name} is {wide} wide"
        back = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert (sum(map(int, re.findall(r"\d+", back)[:3])) < 300) == (scheme == "dark"), name
    context.close()
    assert said == []
    assert [url for url in asked if not url.startswith("file:")] == []
    assert any(url.endswith("math.woff") for url in asked)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_can_be_read_by_all(site: Path, browser: Browser, scheme: str) -> None:
    if not AXE.is_file():
        missing("axe-core is not installed (npm ci in tests/browser)")
    context = browser.new_context(color_scheme="dark" if scheme == "dark" else "light")
    page = context.new_page()
    found: list[str] = []
    for name in READ:
        page.goto((site / name).as_uri(), wait_until="load")
        page.evaluate(AXE.read_text(encoding="utf-8"))
        result = page.evaluate("axe.run(document, {runOnly: ['wcag2a', 'wcag2aa']})")
        found += [f"{name}: {v['id']}: {v['nodes'][0]['html'][:90]}" for v in result["violations"]]
    context.close()
    assert found == []


def test_search_works_on_pages_opened_from_a_folder(site: Path, browser: Browser) -> None:
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((site / "index.html").as_uri())
    page.get_by_role("textbox", name="Search").fill("splitter")
    page.wait_for_selector(".md-search-result__link", timeout=20_000)
    first = page.locator(".md-search-result__link").first.get_attribute("href") or ""
    assert first.startswith("file:") or not urlsplit(first).scheme
    assert [url for url in asked if not url.startswith(("file:", "blob:", "data:"))] == []
