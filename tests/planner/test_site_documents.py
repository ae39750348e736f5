"""Plan sites that are wrong: every problem at once, each with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.documents.document_kind import document_kind
from bridgewire.documents.site_loader import load_site
from bridgewire.errors import InputError
from bridgewire.kits.discovery import find_kits, kit_folders
from bridgewire.planner.problem import problem_of
from tests.planner.sites import shells, site_text

POINTS = {"hut": (0.0, 0.0), "a": (12.0, 2.0)}
GOOD = site_text(POINTS, ["hut"], shells("a", 3))


def load(tmp_path: Path, text: str) -> list[tuple[str, int, str]]:
    """Code, line and message of every problem of the document."""
    file = tmp_path / "site.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_site(file)
    return [
        (f.code, f.location.line if f.location else 0, f.message) for f in caught.value.findings
    ]


def resolve(tmp_path: Path, text: str) -> list[tuple[str, str]]:
    """Code and path of every problem of the references."""
    from bridgewire.diagnostics import format_path

    file = tmp_path / "site.toml"
    file.write_text(text, encoding="utf-8")
    site, _ = load_site(file)
    kits = find_kits(site.kits, kit_folders(file, []))
    found, wrong = problem_of(site, Catalogue({k: v.kit for k, v in kits.items()}))
    assert found is None
    return [(f.code, format_path(f.path)) for f in wrong]


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("times_s = [", "time_s = 3\ntimes_s = [", "DOC019"),
        ("times_s = [10.0, 20.0, 30.0]", "", "DOC005"),
        ("times_s = [10.0", 'times_s = ["soon"', "DOC006"),
        ("count = 2\nsupply_V", "count = 0\nsupply_V", "DOC007"),
        ("[plan]", "[plan]\nchain = 0", "DOC007"),
        ("[plan]", "[plan]\nchains = 2", "DOC004"),
        ("[plan]", '[plan]\ncrossings = "perhaps"', "DOC007"),
        ('class = "harrowmere:lantern-match"', 'class = "x"\ncount = 2', "DOC005"),
        ('box_places = ["hut"]', "", "DOC005"),
        ("length_m = 50", "cut = true", "DOC005"),
    ],
)
def test_each_mistake_is_found_where_it_stands(
    tmp_path: Path, old: str, new: str, code: str
) -> None:
    assert old in GOOD
    found = load(tmp_path, GOOD.replace(old, new, 1))
    assert code in {c for c, _, _ in found}
    assert all(line > 0 for _, line, _ in found)


def test_every_mistake_is_told_at_once(tmp_path: Path) -> None:
    text = GOOD.replace("[plan]", "[plan]\nchain = 99\nplaces = 0").replace(
        "count = 8", "count = -1"
    )
    assert len(load(tmp_path, text)) == 3


def test_references_that_lead_nowhere(tmp_path: Path) -> None:
    text = (
        GOOD.replace('box_places = ["hut"]', 'box_places = ["hutt"]')
        .replace('position = "a"', 'position = "b"')
        .replace('"harrowmere:shore-cable"', '"harrowmere:shoe-cable"')
        .replace('"harrowmere:lantern-match"', '"lantern"')
        .replace("[plan]", '[plan]\njoint_contact = "plugg"')
    )
    assert set(resolve(tmp_path, text + '[[path]]\nthrough = ["hut", "tree"]\n')) == {
        ("DOC011", "box_places[0]"),
        ("DOC011", "wanted[0].position"),
        ("DOC011", "wanted[0].class"),
        ("DOC011", "stock[1].item"),
        ("DOC011", "plan.joint_contact"),
        ("DOC011", "path[0].through[1]"),
    }


def test_cues_that_contradict_and_ids_that_come_twice(tmp_path: Path) -> None:
    one = (
        '[[wanted]]\nid = "{}"\ncue = "front"\nposition = "a"\n'
        'class = "lantern-match"\ntime_s = {}\n'
    )
    text = site_text(POINTS, ["hut"], one.format("x", 1) + one.format("y", 2) + one.format("x", 1))
    assert set(resolve(tmp_path, text)) == {("DOC019", "wanted[1]"), ("DOC010", "wanted[2].id")}


def test_one_cue_cannot_have_two_pulses(tmp_path: Path) -> None:
    one = (
        '[[wanted]]\nid = "{}"\ncue = "front"\nposition = "a"\n'
        'class = "lantern-match"\ntime_s = 1\n{}\n'
    )
    entries = [("x", "pulse_s = 0.05"), ("y", ""), ("z", "pulse_s = 0.05"), ("w", "pulse_s = 2")]
    text = site_text(POINTS, ["hut"], "".join(one.format(*e) for e in entries))
    assert resolve(tmp_path, text) == [("DOC019", "wanted[3].pulse_s")]


def test_cable_without_a_length(tmp_path: Path) -> None:
    text = GOOD.replace("count = 8\nlength_m = 50", "count = 8")
    assert resolve(tmp_path, text) == [("DOC005", "stock[1]")]


def test_a_site_is_not_taken_for_a_show(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    file.write_text(GOOD, encoding="utf-8")
    assert document_kind(file) is None
