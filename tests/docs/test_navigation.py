"""The site's navigation has every page, in one of its sections. Needs no site to be built."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import yaml

from tests.docs.page_tools import DOCS

SETTINGS = yaml.safe_load((DOCS / "site" / "mkdocs.yml").read_text(encoding="utf-8"))
SECTIONS = ["Home", "Tutorial", "How-to guides", "Reference", "Explanation", "Words", "Cautions",
            "Project"]  # fmt: skip


def pages(entries: Any) -> Iterator[str]:
    """Every address below some entries."""
    if isinstance(entries, str):
        yield entries
    elif isinstance(entries, list):
        for entry in entries:
            yield from pages(entry)
    else:
        for below in entries.values():
            yield from pages(below)


IN_NAVIGATION = list(pages(SETTINGS["nav"]))


def test_sections_are_those_of_the_documentation() -> None:
    assert [next(iter(entry)) for entry in SETTINGS["nav"]] == SECTIONS


def test_every_page_is_in_the_navigation_once() -> None:
    # rules.md stands first in the section of the generated pages of rules.
    there = [p for p in IN_NAVIGATION if "/" not in p] + ["rules.md"]
    wanted = {page.name for page in DOCS.glob("*.md")}
    assert wanted - set(there) == set(), "put the page into a section of docs/site/mkdocs.yml"
    assert [page for page in there if there.count(page) > 1 or page not in wanted] == []


def test_every_page_is_in_the_list_of_all_pages() -> None:
    text = (DOCS / "index.md").read_text(encoding="utf-8")
    missing = [page.name for page in DOCS.glob("*.md") if f"]({page.name})" not in text]
    assert set(missing) == {"index.md"}, "name the page in docs/index.md"


def test_warnings_stop_a_build_and_nothing_is_fetched() -> None:
    assert SETTINGS["strict"] is True
    assert SETTINGS["theme"]["font"] is False
    levels = [*SETTINGS["validation"]["nav"].values(), *SETTINGS["validation"]["links"].values()]
    assert set(levels) == {"warn"}
    assert SETTINGS["not_in_nav"].split() == ["/files/"]
    assert "analytics" not in SETTINGS["extra"]
