"""A file that a command writes is there whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click
import pytest

from bridgewire.cli.main import run
from bridgewire.cli.odds_plots import draw_bands
from bridgewire.cli.output import write_output
from tests.cli.shows import SMALL

if TYPE_CHECKING:
    from bridgewire.timeline.outcomes import Assessment


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


@pytest.mark.parametrize(
    ("command", "option"),
    [
        (["check"], "--output"),
        (["odds", "--draws", "100"], "--output"),
        (["odds", "--draws", "100"], "--bands"),
        (["supply"], "--output"),
        (["supply"], "--plot"),
        (["whatif", "--set", "site.ambient_C=1"], "--output"),
        (["advise"], "--output"),
        (["trace"], "--output"),
        (["trace"], "--plot"),
    ],
)
def test_a_show_is_not_written_over(
    command: list[str], option: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nor by another name for it."""
    show = tmp_path / "show.toml"
    show.write_bytes(SMALL.read_bytes())
    link = tmp_path / "show.svg"
    link.symlink_to(show)
    name, *more = command
    cue = ["opening"] if name == "trace" else []
    assert run([name, str(show), *cue, *more, option, str(link)]) == 2
    assert f"cannot write {link}: this command reads it" in capsys.readouterr().err
    assert show.read_bytes() == SMALL.read_bytes()


def test_pages_of_a_drawing_are_written_all_or_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bridgewire.report.bands_svg.bands_svg", lambda *_: ["<svg/>", "<svg/>"])
    monkeypatch.setattr("bridgewire.uncertainty.proof.proven", lambda assessment: assessment)
    (tmp_path / "bands-02.svg").mkdir()
    with pytest.raises(click.ClickException, match=r"bands-02\.svg"):
        draw_bands(str(tmp_path / "bands.svg"), cast("Assessment", None), None)
    assert [p.name for p in tmp_path.iterdir()] == ["bands-02.svg"]
