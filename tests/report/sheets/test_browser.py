"""The HTML in a browser: nothing runs over, and it prints with page numbers."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import pytest

from bridgewire.report.sheets import NAMES
from bridgewire.report.sheets.make import make_sheets
from bridgewire.report.sheets.sheet_html import sheet_html
from tests.report.sheets.shows import hostile, midwinter, parallel_and_leads, tool_or_skip

OVER = """() => [...document.querySelectorAll('body *')].filter(e => {
  const box = e.getBoundingClientRect();
  return !e.closest('.label') && !e.closest('.scroll table') && box.right > innerWidth + 1;
}).map(e => e.tagName)"""
"""Elements that reach beyond the window; wide tables may be scrolled."""
CELLS = """() => [...document.querySelectorAll('td, th')].filter(
  e => !e.closest('.label') && e.scrollWidth > e.clientWidth + 1).map(e => e.textContent)"""
"""Cells whose text does not fit."""


@pytest.mark.oracle
@pytest.mark.parametrize("width", [1200, 420])
def test_nothing_runs_over_the_edge(browser: Any, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900})
    errors: list[str] = []
    page.on("pageerror", lambda e: errors.append(str(e)))

    def refuse(dialog: Any) -> None:
        errors.append(dialog.message)
        dialog.dismiss()

    page.on("dialog", refuse)
    for report in (midwinter(), parallel_and_leads(), hostile()):
        for sheet in make_sheets(report, NAMES):
            page.set_content(sheet_html(sheet, report))
            assert page.evaluate(OVER) == [], (report.title, sheet.name)
            assert page.evaluate(CELLS) == [], (report.title, sheet.name)
    assert errors == []
    page.close()


@pytest.mark.oracle
def test_printed_from_the_browser_pages_are_numbered(browser: Any, tmp_path: Path) -> None:
    """Chromium fills the margins of pages by the same style rules as the PDF writer."""
    tool_or_skip("pdftotext")
    report = midwinter()
    (sheet,) = make_sheets(report, ["wiring"])
    page = browser.new_page()
    page.set_content(sheet_html(sheet, report, "letter"))
    (tmp_path / "printed.pdf").write_bytes(page.pdf(prefer_css_page_size=True))
    page.close()
    text = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "printed.pdf", "-"],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    ).stdout
    pages = text.split("\f")[:-1]
    assert len(pages) == 3
    for number, found in enumerate(pages, start=1):
        assert f"page {number} of 3" in " ".join(found.split())
        assert report.revision in found
