from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from bridgewire.api import check
from bridgewire.diagnostics import Finding, Location
from bridgewire.errors import InputError
from bridgewire.report.fingerprints import fingerprint, fingerprints
from bridgewire.report.run import show_of
from tests.report.ci_formats.runs import HOSTILE, ROOT, TROUBLES, troubles

TEXT = (ROOT / TROUBLES).read_text(encoding="utf-8")
BLOCK = re.compile(r"^\[\[(\w+)\]\].*?(?=^\[|\Z)", re.M | re.S)


def marks(folder: Path, text: str, name: str = "show.toml") -> list[str]:
    """Fingerprints of a show written to a file; they are all different."""
    file = folder / name
    file.write_text(text, encoding="utf-8")
    report = check(file)
    found = fingerprints(report.findings, show_of(report))
    assert len(found) == len(set(found)) > 40
    return found


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    return marks(tmp_path_factory.mktemp("before"), TEXT)


def reordered(text: str, table: str) -> str:
    """The show with the tables of one kind in reverse order."""
    blocks = [m[0] for m in BLOCK.finditer(text) if m[1] == table]
    rest = BLOCK.sub(lambda m: "" if m[1] == table else m[0], text)
    return rest.rstrip() + "\n\n" + "\n".join(b.rstrip() + "\n" for b in reversed(blocks))


def test_inserted_lines_change_nothing(tmp_path: Path, before: list[str]) -> None:
    moved = "# a note\n\n\n" + TEXT.replace("[[cue]]", "# a note\n\n[[cue]]")
    assert moved.count("\n") > TEXT.count("\n") + 10
    assert marks(tmp_path, moved) == before


def test_another_file_name_changes_nothing(tmp_path: Path, before: list[str]) -> None:
    assert marks(tmp_path, TEXT, "second draft.toml") == before


@pytest.mark.parametrize("table", ["cue", "strip", "box"])
def test_items_in_another_order_change_nothing(
    tmp_path: Path, before: list[str], table: str
) -> None:
    text = reordered(TEXT, table)
    assert text != TEXT
    assert sorted(marks(tmp_path, text)) == sorted(before)


@pytest.mark.parametrize("table", ["run", "igniter"])
def test_what_is_about_several_items_stands_at_the_first(
    tmp_path: Path, before: list[str], table: str
) -> None:
    """WIR004 speaks of two runs of copper-clad aluminium, SAF008 of two ways alike."""
    after = marks(tmp_path, reordered(TEXT, table))
    assert len(set(before) - set(after)) == len(set(after) - set(before)) == 1


def test_inserted_items_add_to_what_was_there(tmp_path: Path, before: list[str]) -> None:
    extra = '[[strip]]\nid = "spare strip"\nkind = "generic:strip-8"\nat_m = [1, 1]\n\n'
    first = TEXT.index("[[strip]]")
    after = marks(tmp_path, TEXT[:first] + extra + TEXT[first:])
    assert set(before) < set(after)
    assert len(after) == len(before) + 1  # the new strip is wired to no box


def test_a_value_still_wrong_is_the_same_finding() -> None:
    report = troubles()
    (found,) = (f for f in report.findings if f.code == "WIR009")
    moved = evolve(found, measured=19.0, message="another sentence", location=None)
    assert fingerprint(moved, show_of(report)) == fingerprint(found, show_of(report))


def test_another_id_is_another_finding(tmp_path: Path, before: list[str]) -> None:
    after = marks(tmp_path, TEXT.replace('"store"', '"shed"'))
    assert len(set(before) - set(after)) == 1


@pytest.mark.parametrize(
    "change",
    [
        {"code": "FIR002"},
        {"document": "kit:show"},
        {"path": ("cue", 1)},
        {"path": ("cue", 0, "pulse_s")},
        {"subjects": ("fountains", "fountain 3")},
        {"subjects": ("fountains",)},
    ],
)
def test_what_makes_two_findings_different(change: dict[str, Any]) -> None:
    show = show_of(troubles())
    finding = Finding("FIR001", "x", path=("cue", 0), subjects=("fountains", "fountain 2"))
    assert fingerprint(evolve(finding, **change), show) != fingerprint(finding, show)


def test_long_lists_of_things_alike_may_grow() -> None:
    finding = Finding("SAF008", "x", path=("igniter", 1), subjects=("heron-1", "far", "w1"))
    longer = evolve(finding, subjects=(*finding.subjects, "w2"))
    assert fingerprint(longer, None) == fingerprint(finding, None)


def test_the_same_twice_is_numbered() -> None:
    finding = Finding("WIR005", "x", path=("run", 0), subjects=("crown",))
    one, two = fingerprints([finding, finding], show_of(troubles()))
    assert one == fingerprint(finding, show_of(troubles()))
    assert two == fingerprint(finding, show_of(troubles()), occurrence=1) != one


def test_what_cannot_be_read_is_known_by_its_line(tmp_path: Path) -> None:
    def of(text: str) -> list[str]:
        file = tmp_path / "bad.toml"
        file.write_text(text, encoding="utf-8")
        with pytest.raises(InputError) as caught:
            check(file)
        return fingerprints(caught.value.findings, None)

    good = '[[box]]\nid = "a"\nkind = "harrowmere:heron"\n\n'
    bad = '[[box]]\nid = "b"\nkind = "harrowmere:heron"\nat_m = "here"\n\n'
    head = 'format = 1\ntitle = "t"\nkits = ["harrowmere"]\n\n'
    assert of(head + bad) == of(head + good + "# note\n" + bad)
    assert of(head + bad) != of(head + bad.replace("here", "there"))


def test_any_text_has_a_fingerprint() -> None:
    found = [
        fingerprint(
            Finding(
                "WIR001",
                name,
                path=("cue", 99, name),
                subjects=(name,),
                location=Location(name, 1, 1, name, 1),
            ),
            show_of(troubles()),
        )
        for name in HOSTILE
    ]
    assert len(set(found)) == len(HOSTILE)
    assert all(re.fullmatch("[0-9a-f]{32}", mark) for mark in found)


def test_kept() -> None:
    """Baselines of others hold fingerprints: another way of making them needs another version."""
    finding = Finding("FIR001", "x", path=("cue", 0), subjects=("fountains", "fountain 2"))
    assert fingerprint(finding, show_of(troubles())) == "5729e5ce939c4371f267d8b2d540b0f0"
