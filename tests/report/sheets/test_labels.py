"""Labels: which there are, what their codes say, and that another program reads them."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from bridgewire.report.sheets.labels import (
    HEADING_LETTERS,
    LETTERS,
    MAX_CODE,
    code_text,
    labels,
    qr_svg,
)
from bridgewire.report.sheets.make import make_sheets
from bridgewire.report.sheets.sheet_html import sheet_html
from bridgewire.report.sheets.sheet_pdf import html_to_pdf
from tests.agreements import Agreement
from tests.oracles import oracle_or_skip
from tests.report.sheets.shows import (
    EVIL_ID,
    LONG_ID,
    hostile,
    midwinter,
    parallel_and_leads,
    tool_or_skip,
)


def codes(report) -> list[str]:  # type: ignore[no-untyped-def]
    layout = report.assessment.layout
    return [row.code for row, _ in labels(layout, report.title, report.revision)]


def test_every_part_and_both_ends_of_every_cable_have_one() -> None:
    report = parallel_and_leads()
    assert report.assessment is not None
    found = [
        (row.kind, row.id, label.heading)
        for row, label in labels(report.assessment.layout, report.title, report.revision)
    ]
    assert found == [
        ("OUTPUT", "heron-1/1", "output heron-1/1"),
        ("STRIP", "west", "strip west"),
        ("STRIP", "east", "strip east"),
        ("RUN", "R1 (1 of 2)", "plug into heron-1/1"),
        ("RUN", "R1 (1 of 2)", "plug into west"),
        ("RUN", "R1 (2 of 2)", "plug into heron-1/1"),
        ("RUN", "R1 (2 of 2)", "plug into west"),
        ("RUN", "west -> east", "plug into west"),
        ("RUN", "west -> east", "plug into east"),
    ]


def test_a_code_carries_show_revision_id_and_ends() -> None:
    code = codes(parallel_and_leads())[3]
    revision = parallel_and_leads().revision
    assert code == f"bridgewire:RUN R1 (1 of 2): heron-1/1 -> west; rev {revision}; Boathouse Proms"


def test_long_names_still_fit_and_stay_different() -> None:
    one = code_text("STRIP", "日" * 119 + "a", "x > " * 60, "t" * 500, "0" * 12)
    other = code_text("STRIP", "日" * 119 + "b", "x > " * 60, "t" * 500, "0" * 12)
    assert one != other
    assert max(len(c.encode()) for c in (one, other)) <= MAX_CODE
    middle = code_text("STRIP", "日" * 60 + "a" + "日" * 59, "", "", "0" * 12)
    assert middle != code_text("STRIP", "日" * 60 + "b" + "日" * 59, "", "", "0" * 12)


def test_words_that_do_not_fit_a_label_are_cut_in_their_middle() -> None:
    report = hostile()
    assert report.assessment is not None
    found = [x for _, x in labels(report.assessment.layout, report.title, report.revision)]
    long = [x for x in found if "…" in x.heading]
    assert long
    rows = [sum(-(-len(line) // LETTERS) for line in x.lines) for x in found]
    assert all(len(x.heading) <= 2 * HEADING_LETTERS for x in found)
    assert max(rows) <= 5  # what has room under two rows of heading
    assert any(x.heading.endswith("long") for x in long)


def test_control_characters_do_not_reach_a_code() -> None:
    code = code_text("STRIP", "a\x1b[31m\u202e", "b", "c\nd", "0" * 12)
    assert code.isprintable()


def test_a_drawing_is_nothing_but_paths() -> None:
    drawing = qr_svg("<script>")
    assert "script" not in drawing
    assert drawing.startswith("<svg")
    assert "http" not in drawing


def decoded(pdf: bytes, folder: Path) -> list[str]:
    import zxingcpp
    from PIL import Image

    (folder / "labels.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", "150", "-gray", "-png", "labels.pdf", "page"],
        cwd=folder,
        check=True,
        timeout=120,
    )
    found: list[str] = []
    for picture in sorted(folder.glob("page*.png")):
        with Image.open(picture) as image:
            found += [b.text for b in zxingcpp.read_barcodes(image)]
    return found


CODES = Agreement(
    "qr-codes",
    oracle="ZXing (zxing-cpp) on the printed PDF at 150 dots per inch",
    what="every QR code of the labels",
    limit=0.0,
    unit="yes or no",
    package="zxing-cpp",
)


@pytest.mark.oracle
@pytest.mark.parametrize("name", ["midwinter", "hostile"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_another_program_reads_every_code_off_the_page(
    name: str, paper: str, tmp_path: Path
) -> None:
    oracle_or_skip("zxingcpp")
    oracle_or_skip("weasyprint")
    tool_or_skip("pdftoppm")
    report = midwinter() if name == "midwinter" else hostile()
    (sheet,) = make_sheets(report, ["labels"])
    pdf = html_to_pdf(sheet_html(sheet, report, "a4" if paper == "a4" else "letter"))
    CODES.agrees(sorted(decoded(pdf.data, tmp_path)) == sorted(codes(report)))


def test_hostile_ids_are_in_the_codes_as_they_are() -> None:
    found = codes(hostile())
    assert any(EVIL_ID in c for c in found)
    assert any("北の桟橋 ñ" in c for c in found)
    assert all(len(c.encode()) <= MAX_CODE for c in found)
    assert any(LONG_ID[:10] in c for c in found)
