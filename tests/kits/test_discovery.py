"""Finding kit profiles in folders."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from bridgewire.documents.loader import load_show, open_kit
from bridgewire.documents.opened import Opened
from bridgewire.errors import InputError
from bridgewire.kits import discovery
from bridgewire.kits.discovery import (
    find_kits,
    kit_folders,
    list_kits,
    shipped_profiles_dir,
    user_kits_dir,
)


def kit(folder: Path, file: str, name: str, more: str = "") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / file
    path.write_text(f'format = 1\nid = "{name}"\n{more}', encoding="utf-8")
    return path


def test_profiles_are_found_by_id_not_by_file_name(tmp_path: Path) -> None:
    kit(tmp_path, "a.toml", "club")
    kit(tmp_path, "b.toml", "other")
    (tmp_path / "c.yaml").write_text("format: 1\nid: lake # ours\n", encoding="utf-8")
    (tmp_path / "d.json").write_text(json.dumps({"format": 1, "id": "mere"}), encoding="utf-8")
    found = find_kits(["mere", "club", "lake"], [tmp_path])
    assert list(found) == ["mere", "club", "lake"]
    assert found["club"].kit.id == "club"
    assert found["club"].document.file == str(tmp_path / "a.toml")
    assert list(list_kits([tmp_path])) == ["club", "other", "lake", "mere"]


def test_only_the_wanted_are_parsed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kit(tmp_path, "a.toml", "club")
    kit(tmp_path, "b.toml", "other", "this is not TOML")
    parsed = []

    def noting(path: Path) -> Opened:
        parsed.append(path.name)
        return open_kit(path)

    monkeypatch.setattr(discovery, "open_kit", noting)
    assert list(find_kits(["club"], [tmp_path])) == ["club"]
    assert parsed == ["a.toml"]


def test_shows_and_other_files_are_passed_over(tmp_path: Path) -> None:
    kit(tmp_path, "a.toml", "club")
    show = 'format = 1\ntitle = "x"\nkits = ["club"]\n[[box]]\nid = "club"\nkind = "k"\n'
    (tmp_path / "show.toml").write_text(show, encoding="utf-8")
    (tmp_path / "show.json").write_text('{"kits": [], "id": "club"}', encoding="utf-8")
    (tmp_path / "show.yml").write_text("kits: [club]\nid: club\n", encoding="utf-8")
    (tmp_path / "pyproject.toml").write_text('[project]\nid = "club"\n', encoding="utf-8")
    (tmp_path / "notes.txt").write_text('id = "club"\n', encoding="utf-8")
    (tmp_path / "folder.toml").mkdir()
    assert list(find_kits(["club"], [tmp_path, tmp_path / "none"])) == ["club"]
    assert list(list_kits([tmp_path])) == ["club"]


def test_an_unknown_id_is_reported_with_a_suggestion(tmp_path: Path) -> None:
    kit(tmp_path, "a.toml", "harrowmere")
    file = tmp_path / "show.toml"
    text = 'format = 1\ntitle = "x"\nkits = ["harowmere", "zzz"]\n'
    file.write_text(text, encoding="utf-8")
    show, document = load_show(file)
    with pytest.raises(InputError) as caught:
        find_kits(show.kits, [tmp_path], document.spans)
    first, second = caught.value.findings
    assert first.code == "DOC011"
    assert first.path == ("kits", 0)
    assert first.suggestion == "harrowmere"
    assert str(first.location) == f"{file}:3:9"
    assert second.suggestion == ""
    assert second.got == "'zzz'"


@pytest.mark.parametrize("find", [True, False])
def test_an_id_in_two_files_shows_both_places(tmp_path: Path, find: bool) -> None:
    one = kit(tmp_path / "one", "a.toml", "club")
    two = kit(tmp_path / "two", "b.toml", "club")
    folders = [tmp_path / "one", tmp_path / "two"]
    with pytest.raises(InputError) as caught:
        find_kits(["club"], folders) if find else list_kits(folders)
    findings = caught.value.findings
    assert [f.code for f in findings] == ["DOC018", "DOC018"]
    assert [str(f.location) for f in findings] == [f"{one}:2:6", f"{two}:2:6"]
    assert str(two) in findings[0].got


def test_a_folder_named_twice_is_searched_once(tmp_path: Path) -> None:
    kit(tmp_path, "a.toml", "club")
    (tmp_path / "link").symlink_to(tmp_path)
    assert list(list_kits([tmp_path, tmp_path, tmp_path / "link"])) == ["club"]


def test_problems_of_a_profile_are_shown(tmp_path: Path) -> None:
    kit(tmp_path, "a.toml", "club", "colour = 1\n")
    (tmp_path / "lake.toml").write_text("id = \n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        find_kits(["club", "lake", "mere"], [tmp_path])
    assert [(f.code, f.document) for f in caught.value.findings] == [
        ("DOC004", "kit:club"),
        ("DOC002", "kit:lake"),
        ("DOC011", "show"),
    ]


def test_folders_are_searched_in_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setattr(sys, "path", [])
    folders = kit_folders(tmp_path / "show.toml", [tmp_path / "mine", tmp_path / "kits"])
    user = tmp_path / "config" / "bridgewire" / "kits"
    assert folders == (
        tmp_path, tmp_path / "kits", tmp_path / "mine", user, shipped_profiles_dir()
    )  # fmt: skip


@pytest.mark.parametrize("stated", ["", "relative/config"])
def test_the_users_folder_is_below_the_home_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stated: str
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CONFIG_HOME", stated)
    assert user_kits_dir() == tmp_path / ".config" / "bridgewire" / "kits"


def test_an_id_in_the_users_folder_and_the_shows_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    kit(tmp_path / "config" / "bridgewire" / "kits", "a.toml", "club")
    kit(tmp_path / "show", "a.toml", "club")
    with pytest.raises(InputError) as caught:
        find_kits(["club"], kit_folders(tmp_path / "show" / "night.toml"))
    assert [f.code for f in caught.value.findings] == ["DOC018", "DOC018"]


def test_a_file_whose_id_only_looks_like_the_wanted_is_no_match(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text('format = 1\ntitle = """\nid = "club"\n"""\nid = "lake"\n', encoding="utf-8")
    with pytest.raises(InputError) as caught:
        find_kits(["club"], [tmp_path])
    (finding,) = caught.value.findings
    assert finding.code == "DOC011"
    assert str(finding.location) == f"{file}:5:6"


@pytest.mark.parametrize("head", ["", 'extends = "generic"\n'])
def test_an_id_of_two_entries_is_refused(tmp_path: Path, head: str) -> None:
    """Nobody should have to guess which of two cables a check has used."""
    cable = '[[cable]]\nid = "drum"\nmetal = "copper"\nstranding = "solid"\nconductors = 8\n'
    contact = '[[contact]]\nid = "drum"\n'  # of another kind: no clash
    file = kit(tmp_path, "a.toml", "club", head + cable + contact + cable)
    with pytest.raises(InputError) as caught:
        find_kits(["club"], [tmp_path, shipped_profiles_dir()])
    (finding,) = caught.value.findings
    assert finding.code == "DOC010"
    first = file.read_text(encoding="utf-8").splitlines().index("[[cable]]") + 2
    assert finding.message == f"cable 'drum' is already at line {first}"
    assert finding.location is not None
    assert finding.location.file == str(file)
    assert finding.location.snippet == 'id = "drum"'


def test_shipped_profiles_are_found() -> None:
    folder = shipped_profiles_dir()
    assert folder.is_dir()
    found = list_kits([folder])
    assert {"generic", "harrowmere"} <= set(found)
