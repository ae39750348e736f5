"""Names that try to be formulas, markup, scripts, commands or terminal sequences do nothing."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import subprocess
import tomllib
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from bridgewire.api import check, load_show
from bridgewire.cli.main import run
from tests.headless import missing
from tests.security.commands import Ran
from tests.security.hostile import ROOT, Files

FORMULA = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
NUMBER = re.compile(r"[+-]?\d+([.]\d+)?(e[+-]?\d+)?(?=[,;]|$)")
SVG = "{http://www.w3.org/2000/svg}"


def test_every_command_does_its_work(hostile_runs: list[Ran]) -> None:
    for ran in hostile_runs:
        line = " ".join(ran.arguments)
        if any("none\x1b" in a for a in ran.arguments):
            assert ran.code == 2, line
        elif ran.name == "readings" and "--template" not in ran.arguments:
            assert ran.code in (0, 2), ran.err  # names with direction marks cannot be given back
        else:
            assert ran.code in (0, 1), f"{line}\n{ran.err}"


def test_nothing_shown_can_drive_a_terminal(hostile_runs: list[Ran]) -> None:
    for ran in hostile_runs:
        if ran.name in ("schema", "completion"):
            continue
        stated = dict(zip(ran.arguments, ran.arguments[1:], strict=False))
        form = stated.get("--format", "")
        for text in (ran.out, ran.err):
            if form == "json" and text is ran.out:
                continue
            bad = {c for c in text if not c.isprintable() and c not in "\n\xa0"}
            assert not bad, (ran.arguments, bad)


def test_text_files_can_be_shown_on_a_terminal(hostile_runs: list[Ran]) -> None:
    seen = 0
    for name, raw in written(hostile_runs, ".text", ".markdown", ".github-annotations"):
        seen += 1
        text = raw.decode("utf-8")
        assert {c for c in text if not c.isprintable() and c not in "\n\xa0"} == set(), name
    assert seen >= 4


def test_json_is_plain_json(hostile_runs: list[Ran]) -> None:
    seen = 0
    for ran in hostile_runs:
        if "--format" in ran.arguments and "json" in ran.arguments and ran.out and ran.code < 2:
            json.loads(ran.out)
            seen += 1
    for name, raw in written(hostile_runs, ".json", ".sarif", "gitlab-code-quality"):
        assert json.loads(raw), name
        assert b"\x1b" not in raw
        seen += 1
    for _, raw in written(hostile_runs, ".json-lines"):
        seen += len([json.loads(line) for line in raw.splitlines() if line])
    assert seen > 10


def test_toml_that_is_written_reads_back(hostile_runs: list[Ran]) -> None:
    found = [(n, tomllib.loads(raw.decode("utf-8"))) for n, raw in written(hostile_runs, ".toml")]
    assert {Path(n).name for n, _ in found} >= {"out.advised.toml", "baseline.toml", "fitted.toml"}


def test_no_cell_of_any_csv_is_a_formula(hostile_runs: list[Ran]) -> None:
    names, hostile_cells = set(), 0
    for name, raw in written(hostile_runs, ".csv"):
        names.add(name)
        text = raw.decode("utf-8-sig")
        for delimiter in (",", ";", "\t"):
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
                for cell in row:
                    hostile_cells += "'=" in cell or "'@" in cell
                    assert not is_formula(cell), (name, delimiter, row)
    assert hostile_cells
    assert {n.split(".")[1] for n in names} >= {"supply", "trace", "readings", "whatif", "reach",
                                                "sheets/labels", "sheets/cut-list"}  # fmt: skip


def is_formula(cell: str) -> bool:
    """Whether a spreadsheet would take a cell for a formula; a number is none."""
    return cell.startswith(FORMULA) and NUMBER.match(cell) is None


def test_formulas_are_told_apart() -> None:
    assert is_formula("=1+1")
    assert is_formula("-2+3")
    assert is_formula("-2.5+1")
    assert not is_formula("-2.5")
    assert not is_formula("-2.5,3")  # a row of numbers split at the other delimiter
    assert not is_formula("'=1+1")


def test_annotations_are_only_those_meant(hostile_runs: list[Ran]) -> None:
    ((_, raw),) = written(hostile_runs, ".github-annotations")
    lines = raw.decode("utf-8").splitlines()
    starts = {line.split(" ", 1)[0] for line in lines if line}
    assert starts <= {"::error", "::warning", "::notice"}
    for ran in hostile_runs:
        assert not any(line.lstrip().startswith("::") for line in ran.out.splitlines()), (
            ran.arguments
        )


REFERENCES = ("src", "href", "data", "action", "xlink:href")


class Markup(HTMLParser):
    """Collects what could run or fetch."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.bad: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        for key, value in attrs:
            target = (value or "").strip().lower()
            within = target.startswith(("#", "data:image/svg", "data:image/png"))
            within = within or re.fullmatch(r"[\w./-]*#?[\w-]*", target) is not None
            if key.startswith("on") or (key in REFERENCES and not within):
                self.bad.append(f"<{tag} {key}={value!r}>")


def test_html_has_no_markup_of_names(hostile_runs: list[Ran]) -> None:
    seen = 0
    for name, raw in written(hostile_runs, ".html"):
        seen += 1
        markup = Markup()
        markup.feed(raw.decode("utf-8"))
        assert markup.bad == [], name
        assert markup.tags.isdisjoint({"img", "iframe", "object", "embed", "base"}), name
    assert seen >= 6


def test_html_for_notebooks_has_no_markup_of_names(
    hostile: Files, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", "none")
    report = check(load_show(hostile.show, kit_dirs=[hostile.kits]))
    markup = Markup()
    markup.feed(report._repr_html_())
    assert markup.bad == []
    assert markup.tags.isdisjoint({"img", "iframe", "object", "embed", "base"})


def test_every_writer_of_csv_guards_its_cells() -> None:
    # The samples of a fitted kit are numbers under headings that begin with the name of a table.
    for file in (ROOT / "src").rglob("*.py"):
        text = file.read_text(encoding="utf-8")
        if "csv.writer(" in text or "csv.DictWriter(" in text:
            assert "safe_cell" in text or file.parts[-2:] == ("calibration", "profile.py"), file


def test_svg_has_no_markup_of_names(hostile_runs: list[Ran]) -> None:
    seen = 0
    for name, raw in written(hostile_runs, ".svg"):
        seen += 1
        for element in ET.fromstring(raw).iter():
            assert element.tag.startswith(SVG), name
            assert element.tag.removeprefix(SVG) not in ("script", "image", "foreignObject", "a")
            for key, value in element.attrib.items():
                assert not key.startswith("on"), name
                assert "href" not in key or value.startswith("#"), name
                assert "url(" not in value or value.startswith("url(#"), name
    assert seen >= 5


def test_xml_is_xml(hostile_runs: list[Ran]) -> None:
    ((_, raw),) = written(hostile_runs, ".junit")
    tags = {element.tag for element in ET.fromstring(raw).iter()}
    assert tags <= {"testsuites", "testsuite", "testcase", "failure", "error", "skipped",
                    "system-out", "system-err", "properties", "property"}  # fmt: skip


def test_markdown_has_no_markup_of_names(hostile_runs: list[Ran]) -> None:
    ((_, raw),) = written(hostile_runs, ".markdown")
    text = raw.decode("utf-8")
    # What stands in code spans is shown as it is.
    outside = re.sub(r"(`+)(?:(?!\1).)+?\1(?!`)", "", text)
    markup = Markup()
    markup.feed(outside)
    assert markup.bad == []
    assert markup.tags <= {"details", "summary", "br", "sub", "sup", "code"}
    assert "](http" not in outside.replace("\\]", "")
    assert "![x](" not in outside


def test_markdown_renders_without_markup_of_names(hostile_runs: list[Ran]) -> None:
    cmarkgfm = pytest.importorskip("cmarkgfm")
    ((_, raw),) = written(hostile_runs, ".markdown")
    markup = Markup()
    html = cmarkgfm.github_flavored_markdown_to_html(raw.decode("utf-8"))
    markup.feed(html)
    assert markup.tags.isdisjoint({"img", "script", "svg", "iframe", "style"})
    assert "192.0.2.1" not in " ".join(re.findall(r'(?:href|src)="([^"]*)"', html))


@pytest.mark.slow
def test_in_a_browser_nothing_runs_and_nothing_is_fetched(
    hostile_runs: list[Ran], tmp_path: Path, browser: Any
) -> None:
    asked: list[str] = []
    page = browser.new_page()
    page.on("request", lambda request: asked.append(request.url))
    page.on("dialog", lambda dialog: asked.append(f"dialog {dialog.message}"))
    for number, (name, raw) in enumerate(written(hostile_runs, ".html", ".svg")):
        file = tmp_path / f"{number}{Path(name).suffix}"
        file.write_bytes(raw)
        asked.clear()
        page.goto(file.as_uri())
        page.wait_for_timeout(50)
        assert asked == [file.as_uri()], name
        assert page.evaluate("document.title") != "hit", name
    page.close()


def test_pdf_holds_the_names_as_text(hostile_runs: list[Ran], tmp_path: Path) -> None:
    if shutil.which("pdftotext") is None:
        missing("pdftotext is not installed")
    texts = []
    for number, (_, raw) in enumerate(written(hostile_runs, ".pdf")):
        file = tmp_path / f"{number}.pdf"
        file.write_bytes(raw)
        assert b"/JavaScript" not in raw
        assert b"/URI" not in raw
        shown = subprocess.run(
            ["pdftotext", "-raw", str(file), "-"], capture_output=True, check=True, timeout=60
        )
        texts.append(re.sub(r"\s+", "", shown.stdout.decode("utf-8")))
    assert texts
    assert any('<imgsrc=xonerror=document.title="hit">' in text for text in texts)
    assert any("=1+1" in text for text in texts)


def test_half_a_character_does_not_stop_a_report(
    hostile: Files, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = {
        "format": 1,
        "title": "half \ud800 one",
        "kits": ["generic"],
        "box": [{"id": "b\udfff", "kind": "generic:none"}],
    }
    file = tmp_path / "half.json"
    file.write_text(json.dumps(data), encoding="utf-8")
    for form in ("text", "json", "html", "sarif", "junit"):
        assert run(["check", str(file), "--format", form]) == 2
    del data["box"]
    file.write_text(json.dumps(data), encoding="utf-8")
    for form in ("json", "html", "sarif", "junit", "json-lines", "text"):
        out = tmp_path / f"out.{form}"
        assert run(["check", str(file), "--format", form, "--output", str(out)]) in (0, 1)
        out.read_bytes().decode("utf-8")
    capsys.readouterr()


def written(runs: list[Ran], *endings: str) -> Iterator[tuple[str, bytes]]:
    """Files that commands wrote, by how their names end."""
    for ran in runs:
        for name, raw in ran.files.items():
            if name.endswith(endings):
                yield name, raw
