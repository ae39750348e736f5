"""A headless Chromium with no network."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING, NoReturn

import pytest

from tests.oracles import REQUIRE

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def missing(what: str) -> NoReturn:
    """Skip for want of something; fail where oracles are required."""
    if os.environ.get(REQUIRE) == "1":
        pytest.fail(f"{what}, and {REQUIRE}=1", pytrace=False)
    pytest.skip(what)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for the tests of a file.

    It ends with the file: only one can run in a process, and none beside an event loop.
    """
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("the Python package playwright is not installed")
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        missing("chromium is not installed")
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=chromium, args=list(ARGUMENTS))
        yield started
        started.close()
