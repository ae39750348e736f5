"""HTML, PDF and CSV: complete, harmless, and carrying what every sheet must carry."""

from __future__ import annotations

import csv
import html.parser
import io
import re
import subprocess
from pathlib import Path

import pytest

from bridgewire.diagnostics import Severity
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.sheets import NAMES
from bridgewire.report.sheets.contents import Section, Sheet
from bridgewire.report.sheets.make import make_sheets
from bridgewire.report.sheets.sheet_csv import sheet_csv
from bridgewire.report.sheets.sheet_html import FOOT, Paper, css_string, sheet_html
from bridgewire.report.sheets.sheet_pdf import html_to_pdf
from tests.oracles import oracle_or_skip
from tests.report.sheets.shows import (
    EVIL,
    EVIL_ID,
    LONG_ID,
    hostile,
    midwinter,
    parallel_and_leads,
    regatta,
    tool_or_skip,
)


class Reader(html.parser.HTMLParser):
    """Tags, attributes and text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, list[str]]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, [name for name, _ in attrs]))

    def handle_data(self, data: str) -> None:
        self.text += data


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    reader.close()
    return reader


@pytest.mark.parametrize("name", NAMES)
def test_a_page_says_show_revision_and_cautions(name: str) -> None:
    report = midwinter()
    (sheet,) = make_sheets(report, [name])
    found = read(sheet_html(sheet, report)).text
    for part in (report.title, report.revision, *CAUTIONS, *sheet.cautions, sheet.title):
        assert part in found
    assert "0 errors, 0 warnings" in found


@pytest.mark.parametrize("name", NAMES)
def test_hostile_names_stay_text(name: str) -> None:
    report = hostile()
    (sheet,) = make_sheets(report, [name])
    page = sheet_html(sheet, report)
    found = read(page)
    assert {t for t, _ in found.tags} <= {
        *("html", "head", "meta", "title", "style", "body", "header", "main", "section", "div"),
        *("h1", "h2", "p", "b", "ul", "li", "table", "colgroup", "col", "thead", "tbody", "tr"),
        *("th", "td", "br", "wbr", "svg", "path"),
    }
    assert not any(
        a.startswith("on") or a in ("src", "href") for _, names in found.tags for a in names
    )
    assert page.count("<style>") == page.count("</style>") == 1
    style = page.split("<style>")[1].split("</style>")[0]
    assert style.count("{") == style.count("}")
    assert "\u202e" not in page
    if name in ("wiring", "labels", "cut-list"):
        assert EVIL_ID in found.text
    if name in ("wiring", "cut-list"):
        assert LONG_ID in found.text


def test_a_css_string_cannot_be_left() -> None:
    text = css_string(EVIL + "\n\\")
    assert re.fullmatch(r'"(?:[A-Za-z0-9 .,:()-]|\\[0-9a-f]+ )*"', text)
    # An escape stands for the character whose number it is.
    back = re.sub(r"\\([0-9a-f]+) ", lambda m: chr(int(m[1], 16)), text[1:-1])
    assert back.startswith("<script>alert(1)</script>\"';}} @page{} ")


SIZES_PT: dict[Paper, tuple[float, float]] = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""A4 is 210 × 297 mm (ISO 216), Letter 8.5 × 11 inches (ANSI Y14.1 size A); 72 points an inch."""


def pdf_pages(data: bytes, folder: Path) -> tuple[list[str], list[tuple[float, float]]]:
    """Text and size (points) of every page, by poppler."""
    file = folder / "sheet.pdf"
    file.write_bytes(data)
    said = subprocess.run(
        ["pdfinfo", "-l", "999", file], capture_output=True, text=True, check=True, timeout=60
    ).stdout
    sizes = [
        (float(w), float(h)) for w, h in re.findall(r"Page\s+\d+ size:\s+([\d.]+) x ([\d.]+)", said)
    ]
    text = subprocess.run(
        ["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True, timeout=60
    ).stdout
    return text.split("\f")[:-1], sizes


def words(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("name", "paper"),
    [*((n, "a4") for n in NAMES), *((n, "letter") for n in ("wiring", "meter", "labels"))],
)
def test_every_page_of_a_pdf_has_its_number_show_revision_and_caution(
    name: str, paper: Paper, tmp_path: Path
) -> None:
    oracle_or_skip("weasyprint")
    tool_or_skip("pdftotext")
    report = parallel_and_leads()
    (sheet,) = make_sheets(report, [name])
    pdf = html_to_pdf(sheet_html(sheet, report, paper))
    pages, sizes = pdf_pages(pdf.data, tmp_path)
    assert len(pages) == len(sizes) == pdf.pages
    size = SIZES_PT[paper]
    wanted = tuple(reversed(size)) if sheet.landscape else size
    for number, (text, found) in enumerate(zip(pages, sizes, strict=True), start=1):
        assert found == pytest.approx(wanted, abs=0.5)
        assert f"page {number} of {len(pages)}" in words(text)
        assert report.title in text
        assert report.revision in text
        foot = words(text).replace(f" page {number} of {len(pages)}", "")
        assert FOOT in foot
    whole = words(" ".join(pages))
    for caution in (*CAUTIONS, *sheet.cautions):
        assert caution in whole


@pytest.mark.oracle
@pytest.mark.slow
def test_headings_of_long_tables_are_on_every_page(tmp_path: Path) -> None:
    oracle_or_skip("weasyprint")
    tool_or_skip("pdftotext")
    report = regatta()
    (sheet,) = make_sheets(report, ["cut-list"])
    pages, _ = pdf_pages(html_to_pdf(sheet_html(sheet, report)).data, tmp_path)
    assert len(pages) > 2
    assert all("cut to, m" in page and "labelled" in page for page in pages)
    whole = " ".join(pages)
    for run in report.assessment.layout.show.run:  # type: ignore[union-attr]
        assert f"{run.from_} → {run.to}" in whole


@pytest.mark.oracle
def test_hostile_names_come_through_a_pdf_as_text(tmp_path: Path) -> None:
    oracle_or_skip("weasyprint")
    tool_or_skip("pdftotext")
    report = hostile()
    (sheet,) = make_sheets(report, ["wiring"])
    pages, _ = pdf_pages(html_to_pdf(sheet_html(sheet, report)).data, tmp_path)
    whole = re.sub(r"\s", "", "".join(pages))
    assert "<script>alert(1)</script>" in whole
    assert "ñ" in whole


def test_the_same_show_gives_the_same_pdf() -> None:
    oracle_or_skip("weasyprint")
    report = midwinter()
    (sheet,) = make_sheets(report, ["shopping"])
    page = sheet_html(sheet, report)
    assert page == sheet_html(sheet, report)
    assert html_to_pdf(page).data == html_to_pdf(page).data


def test_a_pdf_fetches_nothing(tmp_path: Path) -> None:
    oracle_or_skip("weasyprint")
    import weasyprint
    from PIL import Image

    Image.new("RGB", (40, 40), "red").save(tmp_path / "secret.png")
    page = f'<p>words</p><img src="{(tmp_path / "secret.png").as_uri()}" alt="left out">'
    assert b"/Image" in weasyprint.HTML(string=page).write_pdf()
    assert b"/Image" not in html_to_pdf(page).data


@pytest.mark.parametrize("name", NAMES)
def test_csv_is_whole_and_harmless(name: str) -> None:
    report = hostile()
    (sheet,) = make_sheets(report, [name])
    for text in sheet_csv(sheet).values():
        assert text.endswith("\r\n")
        rows = list(csv.reader(io.StringIO(text, newline="")))
        assert len({len(r) for r in rows}) == 1
        for row in rows[1:]:
            for cell in row:
                number = re.fullmatch(r"-?\d+(\.\d+)?(e-?\d+)?", cell)
                assert number or not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_csv_has_the_records_of_the_sheet() -> None:
    (sheet,) = make_sheets(hostile(), ["pulses"])
    (row,) = csv.DictReader(io.StringIO(sheet_csv(sheet)["pulses"], newline=""))
    assert row["cue"] == "'=1+1"
    assert float(row["time_s"]) == -4.5
    assert row["offered"] == "yes"
    (wiring,) = make_sheets(hostile(), ["wiring"])
    rows = list(csv.DictReader(io.StringIO(sheet_csv(wiring)["wiring"], newline="")))
    assert [r["igniter"] for r in rows] == ["'+1+1", "'-2"]


def test_open_errors_of_the_check_are_on_every_sheet() -> None:
    report = parallel_and_leads()
    assert any(f.severity is Severity.ERROR for f in report.findings)
    for sheet in make_sheets(report):
        page = sheet_html(sheet, report)
        assert '<p class="alert">ERRORS STAND OPEN' in page
        assert page.index("ERRORS STAND OPEN") < page.index('class="cautions"')
    (sheet,) = make_sheets(midwinter(), ["wiring"])
    assert "ERRORS STAND OPEN" not in sheet_html(sheet, midwinter())


def test_what_must_be_settled_first_stands_out() -> None:
    sheet = Sheet("x", "X", ("then this",), (Section("Part", alerts=("STOP -> here",)),))
    page = sheet_html(sheet, midwinter())
    assert '<p class="alert">STOP → here</p>' in page


def test_a_sheet_that_is_not_there() -> None:
    with pytest.raises(ValueError, match="there is no sheet 'map'"):
        make_sheets(midwinter(), ["map"])
