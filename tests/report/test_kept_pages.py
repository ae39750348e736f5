"""Pages and sheets kept as text, to notice any change of words, columns and figures."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.api import check
from bridgewire.bench.meter.expected import expected_resistances
from bridgewire.cli.main import run
from bridgewire.report.diff_markdown import diff_markdown
from bridgewire.report.diff_run import RunDiff
from bridgewire.report.html.page import html_page
from bridgewire.report.readings_template import readings_template
from bridgewire.report.sheets import NAMES
from bridgewire.report.sheets.make import SheetOptions, make_sheets
from bridgewire.report.sheets.sheet_csv import sheet_csv
from bridgewire.report.sheets.sheet_html import sheet_html
from tests.diff.revisions import SHOW, changed, difference
from tests.report.ci_formats.runs import at_root
from tests.report.fixtures import SMALL, small_report
from tests.report.outline import masked, outline
from tests.report.regression import assert_unchanged
from tests.report.sheets.shows import MIDWINTER, midwinter


def test_the_html_report() -> None:
    page = html_page([small_report()], "0").replace(str(SMALL.parent), "shows")
    words, codes, _ = outline(page).partition("h2: What the codes mean")
    assert codes
    assert_unchanged("report.html.txt", words)


@pytest.mark.parametrize("name", NAMES)
def test_each_sheet(name: str) -> None:
    report = midwinter()
    (sheet,) = make_sheets(report, [name], SheetOptions(dud_rates={"*": 0.01}, trial_rows=1))
    words = outline(sheet_html(sheet, report)).replace(report.version, "<version>")
    tables = "".join(f"\n{file}.csv\n{text}" for file, text in sheet_csv(sheet).items())
    assert_unchanged(f"sheet-{name}.txt", words + masked(tables).replace("\r\n", "\n"))


def test_the_markdown_of_a_difference(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A verdict worse, a cue set otherwise, findings that came."""
    monkeypatch.chdir(tmp_path)
    new = changed(("length_m = 30", "length_m = 190"), ("time_s = 5.0", "time_s = 6.0"))
    show = difference(Path(), SHOW, new)
    assert_unchanged("diff.md", masked(diff_markdown(RunDiff((show,)))))


def test_the_template_for_readings() -> None:
    assessment = check(MIDWINTER).assessment
    assert assessment is not None
    text = readings_template(expected_resistances(assessment))
    assert_unchanged("readings-template.csv.txt", text.replace("\r\n", "\n"))


def test_the_comparison_of_readings(capsys: pytest.CaptureFixture[str]) -> None:
    given = ["--meter-pct", "0.5", "--meter-ohm", "0.02", "--colour", "never"]
    with at_root():
        code = run(
            ["readings", "examples/midwinter-small.toml", "examples/midwinter-readings.csv", *given]
        )
    assert code == 1
    assert_unchanged("readings.txt", capsys.readouterr().out)
