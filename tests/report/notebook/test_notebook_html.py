"""What a notebook shows: short, escaped, without scripts and colours of its own."""

from __future__ import annotations

import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.api import Report, check, load_show
from bridgewire.diagnostics import Finding, Location, Severity
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.notebook.report_html import SHOWN_CUES, SHOWN_FINDINGS
from bridgewire.report.tables.table_html import SHOWN
from bridgewire.rules.engine import Ignored
from bridgewire.tables import TABLE_NAMES, Table, columns_of
from tests.report.tables.test_tables import EXAMPLES, SHOWS, report

ALLOWED = {"div", "p", "b", "br", "small", "table", "caption", "thead", "tbody", "tr", "th", "td"}
BAD = "<script>alert(1)</script>\"'&\x1b[31m\u202e"


class Reader(HTMLParser):
    """Tags, attributes and text; fails on tags that do not match."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.styles: set[tuple[str, str | None]] = set()
        self.text = ""
        self._open: list[str] = []
        self.feed(html)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.styles |= set(attrs)
        if tag != "br":
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data + " "


def read(html: str) -> Reader:
    reader = Reader(html)
    assert reader.tags <= ALLOWED
    assert reader.styles <= {("style", "text-align:left"), ("style", "text-align:right")}
    return reader


@pytest.mark.parametrize("show", SHOWS)
def test_a_report_is_short_and_plain(show: str) -> None:
    r = report(show)
    found = read(r._repr_html_())
    assert r.title in found.text
    assert r.revision in found.text
    assert CAUTIONS[0] in found.text
    assert len(r._repr_html_()) < 20_000
    assert ("none unlit" in found.text) == (r.odds is not None)


def test_the_cues_that_are_not_sure_are_shown() -> None:
    found = read(report("boathouse-troubles")._repr_html_())
    assert "Cues that are not sure (6 of 9)" in found.text
    assert "no such way" in found.text
    assert re.search(r"Findings \(48\)", found.text)
    assert f"and {48 - SHOWN_FINDINGS} more findings" in found.text
    assert "error" in found.text
    sure = read(report("midwinter-small")._repr_html_())
    assert "Cues (3), all sure" in sure.text


def test_many_cues_and_findings_are_counted() -> None:
    r = report("midwinter-small")
    many = evolve(r, cues=r.cues * 300, findings=r.findings * 1000)
    html = many._repr_html_()
    assert f"and {900 - SHOWN_CUES} more cues" in read(html).text
    assert len(html) < 30_000


def test_names_from_files_are_escaped_and_cut() -> None:
    r = report("boathouse-troubles")
    finding = Finding(BAD, BAD * 500, Severity.ERROR, location=Location(BAD * 50, 1, 1))
    cue = evolve(r.cues[0], id=BAD * 50, way=(BAD, 1, 1))
    nasty = evolve(
        r, title=BAD, file=BAD, cues=(cue,), findings=(finding,), version=BAD,
        ignored=(Ignored(finding, BAD, baseline=True),),
    )  # fmt: skip
    html = nasty._repr_html_()
    found = read(html)
    assert "<script" not in html
    assert "\x1b" not in html
    assert "\u202e" not in html
    assert "known" in found.text
    assert len(html) < 12_000
    for name in TABLE_NAMES:
        table = nasty.table(name)._repr_html_()
        read(table)
        assert "<script" not in table


def test_a_report_of_nothing_is_shown() -> None:
    found = read(Report("x.toml", "Empty", (), (), (), (), "00")._repr_html_())
    assert "No findings" in found.text
    assert "No cues" in found.text


def test_a_table_shows_its_first_rows_and_leaves_out_empty_columns() -> None:
    table = report("boathouse-troubles").table("loads")
    found = read(table._repr_html_())
    assert f"{len(table)} rows, the first {SHOWN} shown" in found.text
    assert "heron-1" in found.text
    short = read(report("midwinter-small").table("cues")._repr_html_())
    assert "2 columns without values left out" in short.text
    assert "needed_pulse_s" not in short.text
    empty = read(Table("strays", columns_of("strays"))._repr_html_())
    assert "0 rows" in empty.text
    assert "peak_A" in empty.text


LONGEST_REPR = 260


def test_texts_for_a_prompt_are_short_and_say_what_matters() -> None:
    loaded = load_show(EXAMPLES / "boathouse-troubles.toml")
    r = check(loaded, draws=100)
    parts = [
        loaded,
        r,
        r.odds,
        r.assessment,
        *r.findings,
        *r.cues,
        *(i for c in r.cues for i in c.igniters),
    ]
    for part in parts:
        text = repr(part)
        assert text.startswith(f"<{type(part).__name__} ")
        assert len(text) < LONGEST_REPR + len(str(EXAMPLES)), text
        assert text.isprintable()
    assert "9 cues; igniters 4 sure, 1 marginal, 4 no, 0 unknown; 12 errors" in repr(r)
    assert "boathouse-troubles.toml:159:1" in repr(r.findings[0])
    assert "2 boxes, 11 igniter entries, 9 cues, kits harrowmere, generic" in repr(loaded)


def test_a_text_for_a_prompt_plays_no_tricks() -> None:
    r = report("boathouse-troubles")
    for part in (
        evolve(r, title=BAD),
        evolve(r.cues[0], id=BAD, way=(BAD, 1, 2), pulse_s=None),
        evolve(r.cues[0].igniters[0], id=BAD),
        Finding("FIR001", BAD * 30),
        Finding("FIR001", "x", path=("cue", 0), document="kit:x"),
        Finding("FIR001", "x", document="kit:x"),
    ):
        assert repr(part).isprintable()
        assert len(repr(part)) < LONGEST_REPR


def test_nothing_for_notebooks_is_imported_by_a_check(tmp_path: Path) -> None:
    script = (
        "import sys; from bridgewire.api import check; "
        f"check({str(EXAMPLES / 'midwinter-small.toml')!r}); "
        "print([m for m in sys.modules if m.startswith(('bridgewire.report.notebook', "
        "'bridgewire.report.tables', 'IPython', 'pandas'))])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
