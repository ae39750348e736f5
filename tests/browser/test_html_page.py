"""The HTML report as a browser shows it."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from bridgewire.report.cautions import CAUTIONS
from tests.browser.conftest import Open
from tests.headless import missing
from tests.report.html.shows import FULL, TROUBLES, report

if TYPE_CHECKING:
    from playwright.sync_api import Locator

pytestmark = pytest.mark.oracle

EVERY = ("small", "troubles", "full", "hostile", "several")
COUNT = ".count"


@pytest.mark.parametrize("name", EVERY)
def test_no_console_message_and_nothing_requested(opened: Open, name: str) -> None:
    with opened(name) as it:
        assert it.console == []
        assert len(it.requests) == 1
        assert it.page.title() != "taken"


@pytest.mark.parametrize("width", [320, 360])
@pytest.mark.parametrize("name", ["troubles", "full", "hostile", "several"])
def test_narrow_screens_need_no_sideways_scrolling(opened: Open, name: str, width: int) -> None:
    with opened(name, width=width) as it:
        if name != "full":
            it.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert it.page.evaluate("document.documentElement.scrollWidth") <= width


def test_filter_works_by_keyboard_alone(opened: Open) -> None:
    whole = len(report(FULL).cues)
    wanted = sum("jetty-05" in c.id for c in report(FULL).cues)
    assert 0 < wanted < whole
    with opened("full") as it:
        page = it.page
        count = page.locator(COUNT)
        assert count.inner_text() == f"{whole} cues"
        page.keyboard.press("/")
        assert page.evaluate("document.activeElement.name") == "q"
        page.keyboard.type("JETTY-05 w")
        until(count).to_have_text(f"{wanted} of {whole} cues")
        assert page.locator(".list tbody tr:visible").count() == wanted
        assert page.locator("details.cue:visible").count() == wanted
        page.keyboard.press("Escape")
        until(count).to_have_text(f"{whole} cues")
        assert page.evaluate("document.activeElement.value") == ""


@pytest.mark.parametrize(
    ("name", "label", "choice"),
    [
        ("troubles", "Verdict", "no"),
        ("troubles", "Box", "teal-1"),
        ("full", "Worst finding", "note"),
        ("troubles", "Code", "FIR001"),
    ],
)
def test_each_filter_narrows(opened: Open, name: str, label: str, choice: str) -> None:
    cues = report(TROUBLES if name == "troubles" else FULL).cues
    with opened(name) as it:
        page = it.page
        page.locator("form").get_by_label(label).select_option(choice)
        until(page.locator(COUNT)).to_contain_text(" of ")
        shown = page.locator(".list tbody tr:visible th").all_inner_texts()
        assert 0 < len(shown) < len(cues)
        assert page.locator(COUNT).inner_text() == f"{len(shown)} of {len(cues)} cues"
        if label == "Verdict":
            expected = {c.id for c in cues if c.verdict is not None and c.verdict.value == "no"}
            assert set(shown) == expected
        if label == "Box":
            assert set(shown) == {c.id for c in cues if c.way is not None and c.way[0] == choice}
        if label == "Code":
            named = {f.subjects[0] for f in report(TROUBLES).findings if f.code == choice}
            assert set(shown) == named


def test_the_count_is_announced(opened: Open) -> None:
    with opened("small") as it:
        assert it.page.locator(COUNT).get_attribute("aria-live") == "polite"


def test_skip_link_comes_first_and_focus_shows(opened: Open) -> None:
    with opened("small") as it:
        it.page.keyboard.press("Tab")
        assert it.page.evaluate("document.activeElement.className") == "skip"
        box = it.page.locator(".skip").bounding_box()
        assert box is not None
        assert box["x"] >= 0
        outline = it.page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert outline == "solid"


def test_deep_links_open_a_cue_and_a_finding(opened: Open) -> None:
    with opened("full", fragment="#cue-jetty-05-w03") as it:
        cue = it.page.locator("#cue-jetty-05-w03")
        assert cue.get_attribute("open") is not None
        box = cue.bounding_box()
        assert box is not None
        assert 0 <= box["y"] < 900
    with opened("troubles", fragment="#finding-WIR007-2") as it:
        assert it.page.locator("#finding-WIR007-2").is_visible()


def test_a_link_in_the_table_opens_the_cue(opened: Open) -> None:
    with opened("full") as it:
        it.page.get_by_role("link", name="jetty-05 w03", exact=True).click()
        until(it.page.locator("#cue-jetty-05-w03")).to_have_attribute("open", "")
        assert it.page.evaluate("document.activeElement.parentElement.id") == "cue-jetty-05-w03"


def test_a_link_to_a_cue_that_is_filtered_out_shows_it(opened: Open) -> None:
    with opened("troubles") as it:
        it.page.keyboard.press("/")
        it.page.keyboard.type("nothing matches this")
        until(it.page.locator(COUNT)).to_contain_text("0 of ")
        until(it.page.locator("#cue-fountains")).to_be_hidden()
        it.page.evaluate("location.hash = '#cue-fountains'")
        until(it.page.locator("#cue-fountains")).to_be_visible()


def test_all_can_be_read_without_scripts(opened: Open) -> None:
    with opened("troubles", java_script_enabled=False) as it:
        assert it.page.locator("form.filter").is_hidden()
        assert it.page.locator("#cue-fountains figure").is_visible()
        for caution in CAUTIONS:
            assert it.page.get_by_text(caution[:60]).is_visible()
        # A closed part opens by its summary, which needs no script.
        rule = it.page.locator("#rule-FIR001")
        assert rule.get_attribute("open") is None
        rule.locator("summary").click()
        assert rule.get_by_text("What it checks").is_visible()


def test_light_and_dark_follow_the_reader(opened: Open) -> None:
    colours = {}
    for scheme in ("light", "dark"):
        with opened("small", color_scheme=scheme) as it:
            colours[scheme] = it.page.evaluate(
                "[getComputedStyle(document.documentElement).backgroundColor,"
                "getComputedStyle(document.body).color]"
            )
    light, dark = (
        [sum(int(n) for n in c[4:-1].split(",")) for c in colours[s]] for s in ("light", "dark")
    )
    assert light[0] > 600 > 200 > light[1]
    assert dark[0] < 200 < 600 < dark[1]


@pytest.mark.parametrize("name", ["small", "troubles"])
def test_curves_of_the_drawings_are_seen(opened: Open, name: str) -> None:
    with opened(name) as it:
        boxes = it.page.evaluate(
            "[...document.querySelectorAll('details.cue[open] svg.t use')]"
            ".map(e => { e.scrollIntoView(); const r = e.getBoundingClientRect();"
            " return [r.width, r.height]; })"
        )
        assert boxes
        assert all(w > 150 and h > 60 for w, h in boxes)


def test_first_paint_of_the_full_size_page(opened: Open) -> None:
    with opened("full") as it:
        when = it.page.evaluate(
            "new Promise(done => new PerformanceObserver(list => done(list.getEntries()"
            ".find(e => e.name === 'first-contentful-paint').startTime))"
            ".observe({type: 'paint', buffered: true}))"
        )
        # 0.15 to 0.3 s where it was written.
        assert when < 1000.0


def test_printing_carries_cautions_and_revision(opened: Open, tmp_path: Path) -> None:
    if shutil.which("pdftotext") is None:
        missing("pdftotext (poppler-utils) is not installed")
    found = report(TROUBLES)
    file = tmp_path / "report.pdf"
    with opened("troubles") as it:
        it.page.pdf(path=str(file), format="A4")
    first = _pdf_text(file, "-l", "1")
    for caution in CAUTIONS:
        assert " ".join(caution.split()[:8]) in first
    assert f"{found.title}, revision {found.revision}" in first
    whole = _pdf_text(file)
    pages = whole.count(f"revision {found.revision}")
    assert pages > 10
    for finding in found.findings:
        assert finding.code in whole
    # What is folded on the screen is open on paper, scripts or not.
    assert "What it checks" in whole
    assert "Search" not in whole


def test_printing_the_full_size_page(opened: Open, tmp_path: Path) -> None:
    if shutil.which("pdftotext") is None:
        missing("pdftotext (poppler-utils) is not installed")
    file = tmp_path / "report.pdf"
    with opened("full") as it:
        it.page.pdf(path=str(file), format="Letter")
    whole = _pdf_text(file)
    assert report(FULL).revision in whole
    for cue in report(FULL).cues[::50]:
        assert cue.id in whole


def until(locator: Locator) -> Any:
    """Wait for something; the page's own policy forbids what Playwright's other waits use."""
    from playwright.sync_api import expect

    return expect(locator)


def _pdf_text(file: Path, *options: str) -> str:
    done = subprocess.run(
        ["pdftotext", *options, str(file), "-"],
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    )
    return " ".join(done.stdout.split())


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
@pytest.mark.parametrize("name", ["troubles", "hostile", "several"])
def test_no_serious_violation_of_accessibility_rules(
    opened: Open, axe: str, name: str, width: int, scheme: str
) -> None:
    with opened(name, width=width, color_scheme=scheme, bypass_csp=True) as it:
        it.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        it.page.add_style_tag(content=".cue,.rule{content-visibility:visible!important}")
        it.page.add_script_tag(content=axe)
        found = it.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    bad = [
        (v["id"], v["impact"], [n["html"][:120] for n in v["nodes"][:3]])
        for v in found["violations"]
        if v["impact"] in ("serious", "critical")
    ]
    assert bad == []


def test_the_accessibility_rules_are_in_force(opened: Open, axe: str) -> None:
    with opened("small", bypass_csp=True) as it:
        it.page.evaluate("document.querySelector('h1').style.color = '#e8e6e0'")
        it.page.add_script_tag(content=axe)
        found = it.page.evaluate("axe.run(document, {runOnly: ['color-contrast']})")
    assert [v["impact"] for v in found["violations"]] == ["serious"]


def test_no_serious_violation_in_the_full_size_page(opened: Open, axe: str) -> None:
    # Every fiftieth cue; axe would need minutes for all, and they are of the same making.
    with opened("full", bypass_csp=True) as it:
        it.page.evaluate(
            """for (const s of ['.list tbody tr', 'details.cue'])
                 document.querySelectorAll(s).forEach((e, n) => n % 50 ? e.remove() : 0);
               document.querySelectorAll('.defs g.d').forEach((e, n) => n % 5 ? e.remove() : 0);
               document.querySelectorAll('details.cue').forEach(e => e.open = true);"""
        )
        it.page.add_script_tag(content=axe)
        found = it.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    bad = [v["id"] for v in found["violations"] if v["impact"] in ("serious", "critical")]
    assert bad == []
