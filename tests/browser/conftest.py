"""A headless Chromium with no network, the pages to look at, and axe-core."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from attrs import define, field

from bridgewire.api import check
from bridgewire.report.html.page import html_page
from tests.headless import missing
from tests.report.html.shows import FULL, SMALL, TROUBLES, hostile_show, page

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

AXE = Path(__file__).parent / "node_modules" / "axe-core" / "axe.min.js"


@pytest.fixture(scope="session")
def axe() -> str:
    """The source of axe-core; ``npm ci`` in this folder brings it."""
    if not AXE.is_file():
        missing("axe-core is not installed (npm ci in tests/browser)")
    return AXE.read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The pages, by name."""
    folder = tmp_path_factory.mktemp("pages")
    texts = {
        "small": page(SMALL),
        "troubles": page(TROUBLES),
        "full": page(FULL),
        "hostile": html_page([check(hostile_show(folder))], "0.1.0"),
        "several": html_page([check(SMALL), check(TROUBLES)], "0.1.0", unusable=[("x.toml", 2)]),
    }
    found: dict[str, Path] = {}
    for name, text in texts.items():
        found[name] = folder / f"{name}.html"
        found[name].write_text(text, encoding="utf-8")
    return found


@define
class Opened:
    """A page that was opened, and what was noticed about it."""

    page: Page
    console: list[str] = field(factory=list)
    requests: list[str] = field(factory=list)


Open = Callable[..., Any]


@pytest.fixture
def opened(browser: Browser, files: dict[str, Path]) -> Open:
    """Opens a page by name: ``with opened("small", width=360) as it``."""

    @contextmanager
    def visit(
        name: str, *, width: int = 1280, height: int = 900, fragment: str = "", **settings: Any
    ) -> Iterator[Opened]:
        context = browser.new_context(viewport={"width": width, "height": height}, **settings)
        context.set_default_timeout(20_000)
        it = Opened(context.new_page())
        it.page.on("console", lambda message: it.console.append(message.text))
        it.page.on("pageerror", lambda error: it.console.append(str(error)))
        it.page.on("request", lambda request: it.requests.append(request.url))
        it.page.goto(files[name].as_uri() + fragment, wait_until="load")
        yield it
        context.close()

    return visit
