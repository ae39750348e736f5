"""A file that a command writes is there whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import click
import pytest

from bridgewire.cli.output import write_output


@pytest.mark.parametrize("data", ["fl\u00e4che\n", b"\xff\x00"])
def test_a_new_file(tmp_path: Path, data: str | bytes) -> None:
    file = tmp_path / "out"
    write_output(data, str(file))
    assert file.read_bytes() == (data.encode() if isinstance(data, str) else data)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_disk_that_fails_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "out"
    file.write_text("before", encoding="utf-8")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(click.ClickException, match=r"cannot write .*: No space left"):
        write_output("after", str(file))
    assert file.read_text(encoding="utf-8") == "before"
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_links_and_modes_stay(tmp_path: Path) -> None:
    file, link = tmp_path / "out", tmp_path / "link"
    file.write_text("before", encoding="utf-8")
    file.chmod(0o600)
    link.symlink_to(file)
    write_output("after", str(link))
    assert link.is_symlink()
    assert file.read_text(encoding="utf-8") == "after"
    assert file.stat().st_mode & 0o777 == 0o600


def test_what_is_no_file_is_written_straight(tmp_path: Path) -> None:
    write_output("gone", os.devnull)
    assert Path(os.devnull).is_char_device()
    with pytest.raises(click.ClickException, match="cannot write"):
        write_output("x", str(tmp_path / "no" / "such" / "folder"))
