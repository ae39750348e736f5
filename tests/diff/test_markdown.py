"""The Markdown of a difference: what a strict reader makes of it, with hostile names, and its size.

The reader is cmark-gfm, the C implementation of the GitHub Flavored Markdown specification.
"""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.api import Report
from bridgewire.report.diff_changes import FigureChange, KitChange, Turn
from bridgewire.report.diff_markdown import MARKER, diff_markdown
from bridgewire.report.diff_run import RunDiff
from bridgewire.report.markdown import COMMENT_LIMIT, Page, code, text
from tests.agreements import Agreement
from tests.diff.revisions import SHOW, changed, difference, report_of
from tests.oracles import oracle_or_skip
from tests.report.ci_formats.runs import HOSTILE

NAMES = (
    *HOSTILE,
    "a | b \\| c",
    "`code` ``more``",
    "@crew and @org/team",
    "fixes #12, closes !3 and ~label %2",
    "www.example.org https://example.org a@example.org",
    "![x](https://example.org/x.png)",
    "</details></code><img src=x onerror=alert(1)>",
    "&lt;b&gt; &#60;",
    "* - 1. > _it_ ~~s~~ **b**",
    "[x]: https://example.org",
    "$x^2$ :bomb:",
)
ALLOWED = {"h3", "p", "strong", "table", "thead", "tbody", "tr", "th", "td", "code", "details"}
ALLOWED |= {"summary", "ul", "li", "sub", "em"}


class Reader(HTMLParser):
    """Collects tags, the rows of tables and the texts of code."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[object] = []
        self.rows: list[int] = []
        self.codes: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs
        self.open.append(tag)
        if tag == "tr":
            self.rows.append(0)
        elif tag in ("td", "th"):
            self.rows[-1] += 1
        elif tag == "code":
            self.codes.append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "code" in self.open:
            self.codes[-1] += data


def read(markdown: str) -> Reader:
    oracle_or_skip("cmarkgfm")
    import cmarkgfm
    from cmarkgfm.cmark import Options

    html = cmarkgfm.github_flavored_markdown_to_html(markdown, Options.CMARK_OPT_UNSAFE)
    reader = Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    return reader


def test_an_ordinary_change(tmp_path: Path) -> None:
    worse = changed(("pulse_s = 2.0", "pulse_s = 0.35"))
    written = diff_markdown(RunDiff((difference(tmp_path, SHOW, worse),)))
    assert written.startswith(f"{MARKER}\n### bridgewire: 1 verdict worse\n")
    assert "| <code>gerbs</code> | <code>gerb</code> | **sure → marginal** |" in written
    assert "A computed verdict is no permission to fire" in written


def test_no_change(tmp_path: Path) -> None:
    written = diff_markdown(RunDiff((difference(tmp_path, SHOW, SHOW),)))
    assert "### bridgewire: nothing changed in verdicts" in written
    assert "<details>" not in written


MARKDOWN = Agreement(
    "markdown-read",
    oracle="cmark-gfm, by cmarkgfm",
    what="comments for pull requests: hostile names of shows and cues make no mark-up",
    limit=0.0,
    unit="yes or no",
    package="cmarkgfm",
)


@pytest.mark.oracle
@pytest.mark.parametrize("name", NAMES, ids=range(len(NAMES)))
def test_hostile_names_are_only_text(name: str, tmp_path: Path) -> None:
    plain = difference(tmp_path, SHOW, changed(("pulse_s = 2.0", "pulse_s = 0.35")))
    assert plain.verdicts
    assert plain.moves
    assert plain.found
    old, new = plain.old, plain.new
    assert isinstance(old, Report)
    assert isinstance(new, Report)
    kit = KitChange(name, None, evolve(new.kits[0], id=name, version=name))
    figure = FigureChange(name, name, "margin", "", 1.0, None, Turn.WORSE)
    found = evolve(
        plain,
        old=evolve(old, title=name, file=name),
        new=evolve(new, title=name, file=name),
        verdicts=tuple(evolve(v, cue=name, igniter=name) for v in plain.verdicts),
        moves=tuple(evolve(m, cue=name, was=f"old {name}") for m in plain.moves),
        added=tuple(evolve(c, id=name, way=(name, 1, 1)) for c in plain.new.cues),
        found=tuple(evolve(f, code=name, message=f"{name} at {name}") for f in plain.found),
        figures=(figure,),
        kits=(kit,),
    )
    written = diff_markdown(RunDiff((found,), (found.new,), (name,)))
    reader = read(written)
    MARKDOWN.agrees(reader.tags <= ALLOWED)
    assert reader.attributes == []
    assert set(reader.rows) == {6}
    shown = {c.replace("\u2060", "") for c in reader.codes}
    printable = name.isprintable() and len(name) < 50
    assert not printable or name in shown
    # A mention or a reference needs its mark and a word side by side.
    outside = re.sub(r"<code>.*?</code>", "", written.replace("&#8288;", "\u2060"))
    outside = re.sub(r"&#(\d+);", lambda m: chr(int(m[1])), outside)
    assert not re.search(r"[@#!~%$]\w", outside.replace("### ", ""))
    assert all(line.isprintable() for line in written.splitlines())


@pytest.mark.oracle
def test_a_comment_stays_within_its_size_and_counts_the_rest(tmp_path: Path) -> None:
    name = "|" * 60
    cues = "".join(
        f'[[igniter]]\nid = "{i}{name}"\nat = "jetty/{i % 8 + 1}"\nclass = "clip-on-long"\n'
        f'[[cue]]\nid = "{i}{name}"\nfire = "heron-1/1/{i % 8 + 1}"\n'
        f'time_s = {100 + 10 * i}.0\npulse_s = 0.1\nlights = ["{i}{name}"]\n'
        for i in range(120)
    )
    found = difference(tmp_path, SHOW, SHOW + cues)
    assert len(found.verdicts) > 100
    written = diff_markdown(RunDiff((found,)))
    assert len(written) <= COMMENT_LIMIT
    assert re.search(r"… and \d+ more verdicts?\.", written)
    assert re.search(r"\*Too long for a comment: \d+ entries left out\.\*", written)
    reader = read(written)
    assert reader.tags <= ALLOWED
    small = diff_markdown(RunDiff((found,)), 2000)
    assert len(small) <= 2000
    assert read(small).tags <= ALLOWED
    with pytest.raises(ValueError, match="2000"):
        diff_markdown(RunDiff((found,)), 1999)


def test_the_count_of_what_is_left_out_is_right() -> None:
    page = Page(700, "foot")
    page.table(["a"], ([code(f"row {i:04d}")] for i in range(50)), "row")
    page.list("More", (f"item {i}" for i in range(7)), "item")
    assert page.begin("x" * 300, "y") is False
    written = page.finished()
    shown = written.count("<code>") + written.count("- item")
    left_out = re.search(r"(\d+) entries left out", written)
    assert left_out is not None
    assert shown + int(left_out[1]) == 50 + 7 + 1
    assert len(written) <= 700


@pytest.mark.parametrize("limit", range(600, 680))
def test_no_text_becomes_a_row_where_room_runs_out(limit: int) -> None:
    page = Page(limit, "foot")
    page.table(["a"], ([code(f"row {i:04d}")] for i in range(50)), "row")
    written = page.finished()
    assert len(written) <= limit
    assert all(line.startswith("| <code>") for line in re.findall(r"(?<=\|\n)[^\n]+", written)[1:])
    assert re.search(r"\|\n\n(… and|\*Too long)", written)


def test_several_shows_have_a_column_and_new_and_gone_ones_are_named(tmp_path: Path) -> None:
    worse = changed(("pulse_s = 2.0", "pulse_s = 0.35"))
    found = difference(tmp_path, SHOW, worse)
    other = report_of(tmp_path, SHOW, "new/other.toml")
    run = RunDiff((found, evolve(found)), (other,), ("old/gone.toml",))
    written = diff_markdown(run)
    assert "| Show | Cue | Igniter |" in written
    assert "### bridgewire: 2 verdicts worse, 1 new show, 1 show gone" in written
    assert "**Shows gone** (1)" in written


@pytest.mark.parametrize(
    ("words", "safe"),
    [
        ("0.75 V", "0.75 V"),
        ("a.b", "a&#46;b"),
        ("x\ny", "x&#92;x0ay"),
        ("#1", "&#35;&#8288;1"),
        ("5 % of", "5 % of"),
        ("", ""),
    ],
)
def test_text(words: str, safe: str) -> None:
    assert text(words) == safe
