"""The page without a browser: what stands in it, what it never contains, how large it is."""

from __future__ import annotations

import re
import time
from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.api import check
from bridgewire.diagnostics import Finding
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.contents import Checked
from bridgewire.report.html.page import css_string, html_page
from bridgewire.report.html.prose import arrows
from bridgewire.report.remedy_notes import RemedyNote
from bridgewire.timeline.outcomes import Verdict
from tests.report.html.parsing import Element, parsed
from tests.report.html.shows import (
    FULL,
    HOSTILE_IDS,
    SMALL,
    TROUBLES,
    hostile_show,
    page,
    report,
)

POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'"


@cache
def tree(file: Path) -> Element:
    """The page of a show, read."""
    return parsed(page(file))


@pytest.mark.parametrize("file", [SMALL, TROUBLES, FULL])
def test_page_is_well_formed_with_unique_ids(file: Path) -> None:
    root = tree(file)
    assert [e.attributes["lang"] for e in root.all("html")] == ["en"]


@pytest.mark.parametrize("file", [SMALL, TROUBLES, FULL])
def test_page_loads_nothing(file: Path) -> None:
    root = tree(file)
    policies = [
        e.attributes["content"]
        for e in root.all("meta")
        if e.attributes.get("http-equiv") == "Content-Security-Policy"
    ]
    assert policies == [POLICY]
    for e in root.all():
        assert e.tag not in ("link", "img", "iframe", "object", "embed", "video", "base", "image")
        assert "src" not in e.attributes
        for name in ("href", "xlink:href", "action"):
            assert e.attributes.get(name, "#").startswith("#"), e
        for value in e.attributes.values():
            assert "url(" not in value
    styles = "".join(e.text for e in root.all("style"))
    assert "url(" not in styles
    assert "@import" not in styles


@pytest.mark.parametrize("file", [SMALL, TROUBLES, FULL])
def test_every_link_within_the_page_has_its_target(file: Path) -> None:
    root = tree(file)
    ids = {e.attributes["id"] for e in root.all() if "id" in e.attributes}
    targets = {e.attributes["href"][1:] for e in root.all() if "href" in e.attributes}
    labels = {i for e in root.all() for i in e.attributes.get("aria-labelledby", "").split()}
    assert targets | labels <= ids


def test_every_cue_and_igniter_stands_with_its_verdict() -> None:
    found = report(TROUBLES)
    root = tree(TROUBLES)
    rows = root.all("table", class_="list")[0].all("tr")[1:]
    assert len(rows) == len(found.cues)
    by_id = {row.all("th")[0].text: row for row in rows}
    for cue in found.cues:
        row = by_id[cue.id]
        word = "no igniter" if cue.verdict is None else cue.verdict.value
        assert row.attributes["data-v"] == word
        assert word in row.text
    times = [row.all("td")[0].text for row in rows]
    assert times == sorted(times)


def test_light_times_of_microseconds_are_not_rounded_to_nought() -> None:
    rows = tree(TROUBLES).all("table", class_="list")[0].all("tr")[1:]
    star = next(row for row in rows if row.all("th")[0].text == "star")
    light = next(c for c in report(TROUBLES).cues if c.id == "star").meant[0].light
    assert light.latest < 1e-4
    words = [d.text for d in star.all("td")]
    assert f"{light.earliest * 1e6:.3f}–{light.latest * 1e6:.1f} µs" in words


def test_the_head_of_a_cue_says_when_it_lights() -> None:
    heads = {
        cue.attributes["id"]: cue.all("summary")[0].text
        for cue in tree(TROUBLES).all("details", class_="cue")
    }
    assert heads["cue-comet"].endswith(" · lights after 0.107–1.02 ms")
    assert heads["cue-comet-again"].endswith(" · sure (1 of 1) · lit before")
    assert heads["cue-nothing-there"].endswith(" · no igniter")


def test_figures_stay_on_one_line_with_their_unit() -> None:
    assert re.search(r"\d (?:[mk]?[AVsm]|µs|Ω|°C|%)[ .,;)<]", page_words(TROUBLES)) is None


def test_a_multiple_says_what_of_and_a_count_is_left_to_the_sentence() -> None:
    facts: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for finding in tree(TROUBLES).all("article", class_="finding"):
        code = finding.attributes["id"].rpartition("finding-")[2][:6]
        names, values = ([d.text for d in finding.all(tag)] for tag in ("dt", "dd"))
        facts[code] += zip(names, values, strict=True)
    assert ("limit", "1 times the current needed") in facts["FIR001"]
    # Way 17 of a box with 16.
    counted = {f.code for f in report(TROUBLES).findings if f.measured is not None and not f.unit}
    assert "TIM004" in counted
    assert facts["TIM004"]
    assert not {"value", "limit"} & {name for name, _ in facts["TIM004"]}


def page_words(file: Path) -> str:
    """What is written in the findings of a page, with its markup."""
    text = page(file)
    return text[text.index('-findings">Findings') : text.index('-wiring">Wiring')]


def test_counts_are_those_of_the_report() -> None:
    found = report(TROUBLES)
    tally = tree(TROUBLES).all("table", class_="tally")[0]
    rows = {row.all("th")[0].text: row.all("td")[0].text for row in tally.all("tr")}
    assert rows == {v.value: str(n) for v, n in found.verdict_counts().items()}
    assert found.verdict_counts()[Verdict.NO] > 0


def test_every_finding_stands_once_with_place_remedy_and_explanation() -> None:
    found = report(TROUBLES)
    root = tree(TROUBLES)
    articles = root.all("article", class_="finding")
    assert len(articles) == len(found.findings)
    for finding, article in zip(
        sorted(found.findings, key=lambda f: (-f.severity, f.code)),
        articles,
        strict=True,
    ):
        assert finding.code in article.text
        assert arrows(finding.message[1:].rstrip(".")) in article.text
        assert arrows(finding.remedy[1:].rstrip(".")) in article.text
        assert finding.location is not None
        assert str(finding.location) in article.text
    pages = {e.attributes["id"]: e for e in root.all("details", class_="rule")}
    assert len(pages) == len({f.code for f in found.findings})
    assert "What it checks" in pages["rule-FIR001"].text
    assert "References" in pages["rule-FIR001"].text


def test_a_cue_shows_chain_voltages_traces_and_circuit() -> None:
    (cue,) = tree(TROUBLES).all("details", id="cue-fountains")
    assert "heron-1/1 → jetty-1 → jetty-2 → jetty-3, terminal 4" in cue.text
    outcome = next(c for c in report(TROUBLES).cues if c.id == "fountains")
    weakest = next(i for i in outcome.igniters if i.id == "fountain 3")
    path = cue.all("table", class_="path")[0]
    assert "fountain 3" in path.text
    rows = {r.all("th")[0].text: [d.text for d in r.all("td")] for r in path.all("tr")[1:]}
    assert set(rows) == {arrows(d.label) for d in weakest.drops}
    assert outcome.start_V is not None
    left = outcome.start_V.typical
    lost = {arrows(d.label): d.volts for d in weakest.drops}
    for label, cells in rows.items():
        left -= lost[label]
        assert float(cells[1]) == pytest.approx(lost[label], abs=0.0051)
        assert float(cells[2]) == pytest.approx(left, abs=0.0051)
    assert len(cue.all("figure", class_="traces")) == 1
    assert len(cue.all("svg", class_="bw")) == 1


def test_leads_of_igniters_in_series_are_one_step() -> None:
    (cue,) = tree(TROUBLES).all("details", id="cue-ring")
    path = cue.all("table", class_="path")[0]
    rows = [(r.all("th")[0].text, [d.text for d in r.all("td")]) for r in path.all("tr")[1:]]
    labels = [label for label, _ in rows]
    assert labels.count("leads of roof ring") == 1
    ring = next(c for c in report(TROUBLES).cues if c.id == "ring").igniters[0]
    lost = sum(float(cells[1]) for _, cells in rows)
    assert lost == pytest.approx(sum(d.volts for d in ring.drops), abs=0.06)
    assert float(rows[-1][1][2]) > 0.0


def test_cautions_stand_before_everything_else() -> None:
    main = tree(TROUBLES).all("main")[0]
    first = main.all("section")[0]
    for caution in CAUTIONS:
        assert caution in first.text


def test_kits_hashes_and_revision_are_told() -> None:
    found = report(TROUBLES)
    text = tree(TROUBLES).text
    assert found.sha256 in text
    assert found.revision in text
    for kit in found.kits:
        assert kit.sha256 in text
        assert f"kit {kit.id}" in text


def origin_of(root: Element, matter: str) -> str:
    """From where a matter of the table of assumptions is known."""
    table = next(t for t in root.all("table") if t.text.startswith("What the result rests on"))
    (row,) = (r for r in table.all("tr")[1:] if r.all("th")[0].text == matter)
    return row.all("td")[0].text


def test_what_is_assumed_is_told(tmp_path: Path) -> None:
    show = tmp_path / "show.toml"
    text = SMALL.read_text(encoding="utf-8")
    show.write_text(re.sub(r"\[site\]\nambient_C = .*\n", "", text), encoding="utf-8")
    root = parsed(html_page([check(show)], "0.1.0"))
    assert origin_of(root, "ambient temperature") == "assumed"
    assert origin_of(tree(SMALL), "ambient temperature") == "stated"


def test_values_that_are_missing_are_told(tmp_path: Path) -> None:
    show = tmp_path / "show.toml"
    text = SMALL.read_text(encoding="utf-8")
    assert "length_m = { typical = 18, tol = 0.5 }\n" in text
    show.write_text(
        text.replace("length_m = { typical = 18, tol = 0.5 }\n", "", 1), encoding="utf-8"
    )
    found = check(show)
    lacking = [c for c in found.cues if c.verdict is Verdict.UNKNOWN]
    assert lacking
    root = parsed(html_page([found], "0.1.0"))
    table = next(t for t in root.all("table") if t.text.startswith("Values that are missing"))
    assert "length_m" in table.text
    cue = next(e for e in root.all("details", class_="cue") if lacking[0].id in e.text)
    assert "unknown" in cue.text
    assert "Not known: length_m" in cue.text


def test_hostile_names_stay_text(tmp_path: Path) -> None:
    found = check(hostile_show(tmp_path))
    text = html_page([found], "0.1.0", unusable=[("<script>bad</script>", 1)])
    root = parsed(text)
    assert len(root.all("script")) == 1
    assert len(root.all("style")) <= 2
    assert root.all("img") == []
    assert not any(name.startswith("on") for e in root.all() for name in e.attributes)
    assert "\u202e" not in text
    assert "49" not in {e.text for e in root.all("th")}
    shown = {e.text for e in root.all("table", class_="list")[0].all("th", scope="row")}
    assert shown == {name.replace("\u202e", "\\u202e") for name in HOSTILE_IDS}
    assert "because <script>" in root.text


def test_ids_that_differ_in_case_or_signs_only_get_anchors_of_their_own(tmp_path: Path) -> None:
    root = parsed(html_page([check(hostile_show(tmp_path))], "0.1.0"))
    anchors = [e.attributes["id"] for e in root.all("details", class_="cue")]
    assert len({a.lower() for a in anchors}) == len(HOSTILE_IDS)
    assert all(re.fullmatch(r"[A-Za-z0-9_-]+", a) for a in anchors)


def test_several_shows_make_one_page() -> None:
    text = html_page([report(SMALL), report(TROUBLES)], "0.1.0", unusable=[("broken.toml", 3)])
    root = parsed(text)
    assert [e.attributes["id"] for e in root.all("section", class_="show")] == [
        "show1-show",
        "show2-show",
    ]
    assert "broken.toml: 3 problems" in root.text
    assert len(root.all("table", class_="list")) == 2
    assert root.all("h1")[0].text == "2 shows"


def test_a_page_without_any_show() -> None:
    root = parsed(html_page([], "0.1.0", unusable=[("broken.toml", 1)]))
    assert "broken.toml: 1 problem" in root.text
    assert "Cautions" in root.text


def test_remedies_have_their_place() -> None:
    def remedies(_: Checked, finding: Finding) -> list[RemedyNote]:
        if finding.code != "FIR002":
            return []
        return [RemedyNote("use <b> cable", "margin 0.97", "margin 1.41", "25 m of cable")]

    root = parsed(html_page([report(TROUBLES)], "0.1.0", remedies=remedies))
    (entry,) = root.all("ul", class_="remedies")
    assert entry.text.startswith("use <b> cable")
    assert {d.all("dt")[0].text: d.all("dd")[0].text for d in entry.all("div")} == {
        "now": "margin 0.97",
        "then": "margin 1.41",
        "needs": "25 m of cable",
    }


def test_odds_are_shown_where_they_were_computed() -> None:
    found = check(SMALL, draws=200, seed=3)
    root = parsed(html_page([found], "0.1.0"))
    assert "200 draws, seed 3" in root.text
    assert "Most likely to fail" in root.text
    assert "Most likely to fail" not in tree(SMALL).text


def test_a_report_without_assessment_still_tells_its_findings() -> None:
    bare = evolve(report(TROUBLES), assessment=None, cues=())
    root = parsed(html_page([bare], "0.1.0"))
    assert len(root.all("article", class_="finding")) == len(bare.findings)


def test_the_same_report_gives_the_same_page() -> None:
    assert html_page([check(TROUBLES)], "0.1.0") == page(TROUBLES)


def test_the_full_size_page_is_small_and_quick() -> None:
    found = report(FULL)
    assert len(found.cues) >= 600
    start = time.process_time()
    text = html_page([found], "0.1.0")
    took = time.process_time() - start
    assert len(text.encode()) <= 5_000_000
    # 1.2 s on the machine where it was written; the bound only tells seconds from minutes.
    assert took < 15.0


@pytest.mark.parametrize(
    ("text", "kept"),
    [("plain, 1.5", '"plain, 1.5"'), ('"', '"\\22 "'), ("</style>", '"\\3c \\2f style\\3e "')],
)
def test_css_strings_cannot_be_left(text: str, kept: str) -> None:
    assert css_string(text) == kept
