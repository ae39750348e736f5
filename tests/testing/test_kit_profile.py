"""Conformance of kit profiles: what conforms passes, and each sort of fault is found."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.diagnostics import Finding, Severity
from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.registry import LoadedRule
from bridgewire.testing import assert_kit_conforms, check_kit_profile, kit_trials
from bridgewire.testing.kit_shows import shows_of_kit
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Verdict

HARROWMERE = shipped_profiles_dir() / "harrowmere.toml"


@pytest.fixture
def changed(tmp_path: Path) -> Iterator[object]:
    """A function that writes the Harrowmere kit with one thing changed."""

    def write(old: str, new: str) -> Path:
        text = HARROWMERE.read_text(encoding="utf-8")
        assert re.search(old, text, re.M), old
        file = tmp_path / "kit.toml"
        file.write_text(re.sub(old, new, text, count=1, flags=re.M), encoding="utf-8")
        return file

    return write  # type: ignore[return-value]


@pytest.mark.parametrize("name", ["generic", "harrowmere"])
def test_shipped_profiles_conform(name: str) -> None:
    assert check_kit_profile(shipped_profiles_dir() / f"{name}.toml", complete=True) == []


@pytest.mark.parametrize(
    ("old", "new", "kind", "words"),
    [
        (r"^version = .*", "version = 1", "document", "DOC006"),
        (r"^rated_A = 10.0", "rated_mA = 10.0", "document", "DOC004 "),
        (r"^\[\[contact\]\]", "[[contact]", "document", "DOC002"),
        (r"^inner_ohm = .*\n", "", "gap", "strip jetty-strip-8: inner_ohm: is not stated"),
        (r"^ohm_per_m = .*", "ohm_per_m = 0.001", "doubt", "cable shore-cable: ohm_per_m"),
        (r'^contact_ohm = "invented.*\n', "", "source", "contact lake-plug: contact_ohm"),
        (r'^contact_ohm = "invented.*', 'contact_ohm = " "', "source", "is empty"),
        (
            r'^contact_ohm = "invented.*',
            r'\g<0>\nhold_off = "manual"',
            "source",
            "contact lake-plug: sources.hold_off: names a value that is not stated",
        ),
        (r"^max_length_m = .*\n", "", "source", "sources.max_length_m: names a value"),
    ],
)
def test_a_fault_is_found_with_its_kind_and_place(
    changed: object, old: str, new: str, kind: str, words: str
) -> None:
    file = changed(old, new)  # type: ignore[operator]
    found = check_kit_profile(file)
    assert any(p.kind == kind and words in str(p) for p in found), list(map(str, found))
    with pytest.raises(AssertionError, match="does not conform"):
        assert_kit_conforms(file)


def test_what_only_single_rules_need_counts_where_asked_for(changed: object) -> None:
    file = changed(r"^leads_per_terminal = 4\n", "")  # type: ignore[operator]
    assert check_kit_profile(file) == []
    (only,) = check_kit_profile(file, complete=True)
    assert str(only).endswith("leads_per_terminal: is not stated; needed for: too many leads on "
                              "one terminal [gap]")  # fmt: skip


def test_a_value_that_keeps_a_verdict_unknown_is_told_once(changed: object) -> None:
    file = changed(r"^lead_ohm = .*\n", "")  # type: ignore[operator]
    found = [p for p in check_kit_profile(file) if "lead_ohm" in p.place and p.kind != "source"]
    assert [p.kind for p in found] == ["gap"]


def test_a_kit_that_names_a_model_that_is_not_there(changed: object) -> None:
    file = changed(r"^kind = \"electric-match\"", '\\g<0>\nmodel = "not-there"')  # type: ignore[operator]
    found = check_kit_profile(file)
    assert any(p.kind == "rule" and "not-there" in str(p) for p in found), list(map(str, found))


def _crash(context: Context) -> Iterator[Finding]:
    raise ZeroDivisionError("no ohms at all")


def test_a_rule_that_fails_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    rule = LoadedRule(Rule("WIR999", "made-up", Severity.ERROR), _crash, "A page.")
    monkeypatch.setattr(kit_trials, "all_rules", lambda: (rule,))
    found = check_kit_profile(HARROWMERE)
    assert [p.kind for p in found] == ["rule", "rule"]
    assert "rule WIR999 failed (ZeroDivisionError: no ohms at all)" in found[0].message


@pytest.mark.parametrize("name", ["generic", "harrowmere"])
def test_every_entry_is_in_a_show_and_every_igniter_is_computed(name: str) -> None:
    kits = find_kits(list(dict.fromkeys([name, "generic"])), [shipped_profiles_dir()])
    kit = kits[name].kit
    used: dict[str, set[str]] = {}
    fired = 0
    for show in shows_of_kit(kit, kits["generic"].kit):
        layout, problems = resolve(show, Catalogue({k: v.kit for k, v in kits.items()}))
        assert layout is not None, problems
        assessment = assess(layout)
        assert len(assessment.cues) == len(show.igniter)
        assert all(c.verdict is not Verdict.UNKNOWN for c in assessment.cues)
        fired += sum(c.verdict is Verdict.SURE for c in assessment.cues)
        for table, ids in Context(assessment).used_kit_items.items():
            used.setdefault(table, set()).update(ids)
    assert fired > 20
    for table in ("box", "cable", "contact", "strip", "splitter", "igniter_class"):
        own = {f"{name}:{entry.id}" for entry in getattr(kit, table)}
        assert own <= used[table], table


@pytest.mark.parametrize(
    "tables",
    [
        '[[cable]]\nid = "flex"\nmetal = "copper"\nstranding = "solid"\nconductors = 2\n'
        'area_mm2 = 0.5\nsources = { "*" = "print on the sheath" }\n',
        '[[contact]]\nid = "plug"\ncontact_ohm = 0.01\nsources = { "*" = "meter" }\n',
        "",
    ],
)
def test_a_profile_of_one_sort_of_thing_is_tried_with_generic_kit(
    tables: str, tmp_path: Path
) -> None:
    file = tmp_path / "small.toml"
    file.write_text(f'format = 1\nid = "small"\n{tables}', encoding="utf-8")
    assert_kit_conforms(file)


def test_a_profile_may_extend_one_of_another_folder(tmp_path: Path) -> None:
    (tmp_path / "base").mkdir()
    (tmp_path / "base" / "club.toml").write_text(
        'format = 1\nid = "club"\n[[contact]]\nid = "plug"\ncontact_ohm = 0.01\n'
        'sources = { "*" = "meter" }\n',
        encoding="utf-8",
    )
    file = tmp_path / "mine.toml"
    file.write_text('format = 1\nid = "mine"\nextends = "club"\n', encoding="utf-8")
    assert [p.kind for p in check_kit_profile(file)] == ["document"]
    assert check_kit_profile(file, kit_dirs=[tmp_path / "base"]) == []
