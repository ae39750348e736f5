"""Which files a folder on the command line stands for."""

from __future__ import annotations

import json
import re
from pathlib import Path

import click
import pytest

from bridgewire.cli.main import run
from bridgewire.cli.show_files import show_files
from tests.cli.shows import CLEAN, write_show

SHOW_YAML = "format: 1\ntitle: Night\nkits: []\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    shows = tmp_path / "shows"
    (shows / "2026").mkdir(parents=True)
    write_show(shows, CLEAN, "b.toml")  # with its kit profile beside it
    (shows / "a.yaml").write_text(SHOW_YAML, encoding="utf-8")
    (shows / "2026" / "c.json").write_text(
        json.dumps({"format": 1, "title": "Night", "kits": []}), encoding="utf-8"
    )
    (shows / "notes.toml").write_text('title = "not a show"\n', encoding="utf-8")
    (shows / "baseline.toml").write_text("format = 1\n[[known]]\n", encoding="utf-8")
    (shows / "bench.yaml").write_text("format: 1\ntitle: x\nkits: []\ntrial: []\n")
    (shows / "trials.toml").write_text(
        'format = 1\ntitle = "x"\nkits = []\n[[trial]]\nid = "1"\n', encoding="utf-8"
    )
    (shows / "cues.csv").write_text("id,fire\n", encoding="utf-8")
    (shows / ".hidden").mkdir()
    (shows / ".hidden" / "d.yaml").write_text(SHOW_YAML, encoding="utf-8")
    return tmp_path


def test_a_folder_stands_for_its_shows_in_a_fixed_order(folder: Path) -> None:
    assert show_files(["shows"]) == ("shows/2026/c.json", "shows/a.yaml", "shows/b.toml")


def test_each_file_is_taken_once_and_named_files_as_they_are(folder: Path) -> None:
    named = ["shows/b.toml", "shows", "none.toml", "shows/notes.toml"]
    assert show_files(named) == (
        "shows/b.toml",
        "shows/2026/c.json",
        "shows/a.yaml",
        "none.toml",
        "shows/notes.toml",
    )


def test_a_broken_show_is_not_passed_over(folder: Path) -> None:
    (folder / "shows" / "z.toml").write_text('format = 1\nkits = ["a"\n', encoding="utf-8")
    assert show_files(["shows"])[-1] == "shows/z.toml"
    assert run(["check", "shows"]) == 2


def test_a_folder_without_shows_is_an_error(folder: Path) -> None:
    (folder / "empty").mkdir()
    with pytest.raises(click.UsageError, match="no show in the folder 'empty'"):
        show_files(["empty"])
    assert run(["check", "empty"]) == 2


def test_the_summary_names_every_show(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", "shows"]) == 0
    said = capsys.readouterr().out
    assert "Shows (3)" in said
    for name in ("2026/c.json", "a.yaml", "b.toml"):
        assert re.search(rf"^  shows/{name} +\d", said, re.M)
    assert re.search(r"^  all shows +1 ", said, re.M)
    assert max(map(len, said.splitlines())) <= 80
