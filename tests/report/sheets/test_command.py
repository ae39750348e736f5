"""``bridgewire sheets``: what it writes, and what it says when it cannot."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from bridgewire.cli.main import run
from bridgewire.cli.sheets import command, parse_dud_rates
from bridgewire.report.sheets import NAMES
from tests.oracles import oracle_or_skip
from tests.report.sheets.shows import HEAD, MIDWINTER, PARALLEL_AND_LEADS, midwinter


@pytest.fixture(autouse=True)
def _no_plugins(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", "none")


def sheets(*arguments: str) -> int:
    return run(["sheets", *arguments])


def test_all_sheets_in_all_forms(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    oracle_or_skip("weasyprint")
    folder = tmp_path / "new" / "folder"
    assert sheets(str(MIDWINTER), "--folder", str(folder), "--format", "all") == 0
    said = capsys.readouterr().out
    names = {f.name for f in folder.iterdir()}
    assert names >= {f"{n}.{e}" for n in NAMES for e in ("pdf", "html", "csv")}
    assert names == {line.split()[0] for line in said.splitlines()}
    assert all((folder / f"{n}.pdf").read_bytes().startswith(b"%PDF-") for n in NAMES)
    assert "labels.pdf           Labels, 2 pages" in said


def test_one_sheet_as_html(tmp_path: Path) -> None:
    arguments = ("--folder", str(tmp_path), "--format", "html", "--paper", "letter")
    assert sheets(str(MIDWINTER), *arguments, "--sheet", "wiring") == 0
    assert [f.name for f in tmp_path.iterdir()] == ["wiring.html"]
    assert "size: letter;" in (tmp_path / "wiring.html").read_text(encoding="utf-8")


def test_too_little_cable_gives_exit_code_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    show = tmp_path / "show.toml"
    drum = '[[drum]]\nid = "reel"\ncable = "shore-cable"\nlength_m = 20\n'
    show.write_text(HEAD.replace("{title}", '"Boathouse Proms"') + PARALLEL_AND_LEADS + drum)
    arguments = ("--folder", str(tmp_path), "--format", "html", "--sheet", "cut-list")
    assert sheets(str(show), *arguments) == 1
    said = capsys.readouterr().out
    assert "CUT001" in said
    assert f"{show}:" in said.replace("\n", "")
    assert "TOO LITTLE CABLE" in (tmp_path / "cut-list.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("missing", "sheet", "form"),
    [("weasyprint", "wiring", "pdf"), ("segno", "labels", "html"), ("scipy", "cut-list", "html")],
)
def test_a_missing_package_is_named_and_nothing_written(
    missing: str,
    sheet: str,
    form: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    for name in list(sys.modules):
        if name == missing or name.startswith(f"{missing}."):
            monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, missing, None)
    folder = tmp_path / "out"
    arguments = ("--folder", str(folder), "--format", form, "--sheet", "wiring", "--sheet", sheet)
    assert sheets(str(MIDWINTER), *arguments) == 2
    said = capsys.readouterr().err
    assert "bridgewire[sheets]" in said
    assert "Traceback" not in said
    assert not folder.exists()


def test_a_missing_system_library_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A stand-in that fails on import as the package does where Pango is not found."""
    for name in list(sys.modules):
        if name == "weasyprint" or name.startswith("weasyprint."):
            monkeypatch.delitem(sys.modules, name)
    (tmp_path / "weasyprint.py").write_text("raise OSError('cannot load library')\n")
    monkeypatch.syspath_prepend(str(tmp_path))
    assert sheets(str(MIDWINTER), "--folder", str(tmp_path / "out"), "--sheet", "wiring") == 2
    said = capsys.readouterr().err
    assert "Pango" in said
    assert "--format html" in said


def test_csv_needs_no_optional_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for missing in ("weasyprint", "segno"):
        monkeypatch.setitem(sys.modules, missing, None)
    arguments = ("--folder", str(tmp_path), "--format", "csv")
    assert sheets(str(MIDWINTER), *arguments, "--sheet", "labels", "--sheet", "shopping") == 0
    assert sorted(f.name for f in tmp_path.iterdir()) == ["labels.csv", "shopping.csv"]


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine")
    assert sheets(str(MIDWINTER), "--folder", str(tmp_path / "taken"), "--format", "html") == 2
    below = str(tmp_path / "taken" / "below")
    assert sheets(str(MIDWINTER), "--folder", below, "--format", "html", "--sheet", "wiring") == 2
    assert (tmp_path / "taken").read_text() == "mine"


def test_a_sheet_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "wiring.html").mkdir()
    arguments = ("--folder", str(tmp_path), "--format", "html", "--sheet", "wiring")
    assert sheets(str(MIDWINTER), *arguments) == 2
    assert "cannot write" in capsys.readouterr().err
    assert [f.name for f in tmp_path.iterdir()] == ["wiring.html"]


def test_dud_rates_are_read() -> None:
    assessment = midwinter().assessment
    assert assessment is not None
    catalogue = assessment.layout.catalogue
    assert parse_dud_rates(("1%", "lantern-match=0.02"), catalogue) == {
        "*": 0.01,
        "harrowmere:lantern-match": 0.02,
    }


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("0", "above 0"),
        ("100%", "below 1"),
        ("many", "a share is a number"),
        ("nan", "a share is a number"),
        ("lantern-mach=0.1", "did you mean 'lantern-match'"),
    ],
)
def test_a_wrong_dud_rate_is_refused(given: str, words: str, tmp_path: Path) -> None:
    done = CliRunner().invoke(
        command, [str(MIDWINTER), "--folder", str(tmp_path / "out"), "--dud-rate", given]
    )
    assert done.exit_code == 2
    assert words in " ".join(done.output.split())
    assert not (tmp_path / "out").exists()


def test_a_dud_rate_given_twice_is_refused(tmp_path: Path) -> None:
    arguments = [str(MIDWINTER), "--folder", str(tmp_path), "--dud-rate", "1%", "--dud-rate", "2%"]
    done = CliRunner().invoke(command, arguments)
    assert done.exit_code == 2
    assert "given twice" in done.output


def test_spares_are_on_the_sheet(tmp_path: Path) -> None:
    arguments = ("--folder", str(tmp_path), "--format", "csv", "--sheet", "shopping")
    assert sheets(str(MIDWINTER), *arguments, "--dud-rate", "10%", "--confidence", "0.99") == 0
    text = (tmp_path / "shopping.csv").read_text()
    # One needed and one in ten a dud: 0.9 + 0.09 is 0.99 with one spare.
    assert "igniter,generic:clip-on-short" in text
    assert ",1,0.1,1,0.99," in text


def test_bad_input_is_reported_and_nothing_written(tmp_path: Path) -> None:
    show = tmp_path / "show.toml"
    show.write_text("format = 1\ntitle = 3\n")
    assert sheets(str(show), "--folder", str(tmp_path / "out"), "--format", "html") == 2
    assert not (tmp_path / "out").exists()
