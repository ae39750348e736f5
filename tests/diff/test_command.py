"""`bridgewire diff`: exit codes, folders, formats, bad input."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

import bridgewire
from bridgewire.cli.main import run
from tests.cli.shows import BAD
from tests.diff.revisions import SHOW, changed

SCHEMA = json.loads(
    (Path(bridgewire.__file__).parent / "schemas" / "diff-1.json").read_text(encoding="utf-8")
)
WORSE = changed(("pulse_s = 2.0", "pulse_s = 0.35"))


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for side, texts in (
        ("old", {"a.toml": SHOW, "sub/b.toml": SHOW, "gone.toml": SHOW}),
        ("new", {"a.toml": WORSE, "sub/b.toml": SHOW, "added.toml": SHOW}),
    ):
        for name, text in texts.items():
            file = tmp_path / side / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")
    return tmp_path


def test_two_shows(folders: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["diff", "old/a.toml", "new/a.toml"]) == 0
    said = capsys.readouterr().out
    assert "gerbs, gerb: sure -> marginal" in said
    assert "Changed   1 verdict worse" in said
    assert max(map(len, said.splitlines())) <= 80
    assert run(["diff", "old/a.toml", "new/a.toml", "--fail-on-worse"]) == 1
    assert run(["diff", "new/a.toml", "old/a.toml", "--fail-on-worse"]) == 0
    capsys.readouterr()
    assert run(["diff", "old/a.toml", "old/a.toml", "--fail-on-worse"]) == 0
    assert "nothing changed in verdicts" in capsys.readouterr().out


def test_two_folders(folders: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["diff", "old", "new", "--format", "json", "--fail-on-worse"]) == 1
    data = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(SCHEMA).validate(data)
    assert [s["new"]["file"] for s in data["shows"]] == ["new/a.toml", "new/sub/b.toml"]
    assert [s["file"] for s in data["new_shows"]] == ["new/added.toml"]
    assert data["gone_shows"] == ["old/gone.toml"]
    assert [s["got_worse"] for s in data["shows"]] == [True, False]
    (change,) = data["shows"][0]["verdicts"]
    assert (change["before"], change["after"], change["turn"]) == ("sure", "marginal", "worse")
    assert change["light_s"]["after"]["latest"] is None
    assert run(["diff", "old", "new"]) == 0
    said = capsys.readouterr().out
    assert "new: new/added.toml: 2 cues; 2 sure" in said
    assert "gone: old/gone.toml" in said


def test_output_goes_to_a_file_and_never_over_a_show(folders: Path) -> None:
    arguments = ["diff", "old/a.toml", "new/a.toml", "--format", "markdown", "--output"]
    assert run([*arguments, "diff.md"]) == 0
    assert (folders / "diff.md").read_text(encoding="utf-8").startswith("<!-- bridgewire diff -->")
    assert run([*arguments, "new/a.toml"]) == 2
    assert (folders / "new" / "a.toml").read_text(encoding="utf-8") == WORSE


@pytest.mark.parametrize(
    "arguments",
    [
        ["old", "new/a.toml"],
        ["old/a.toml", "new"],
        ["old/none.toml", "new/a.toml"],
        ["empty", "empty"],
        ["old"],
        ["old", "new", "--today", "2026-02-30"],
        ["old", "new", "--today", "2026-2-3"],
    ],
)
def test_bad_use_is_refused(
    folders: Path, arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    (folders / "empty").mkdir()
    assert run(["diff", *arguments]) == 2
    assert capsys.readouterr().err


def test_problems_of_all_files_are_told(folders: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for side in ("old", "new"):
        (folders / side / "bad.toml").write_text(BAD, encoding="utf-8")
    assert run(["diff", "old", "new"]) == 2
    said = capsys.readouterr().err
    assert "old/bad.toml:2:1" in said
    assert "new/bad.toml:2:1" in said


def test_the_kits_of_both_revisions(folders: Path, capsys: pytest.CaptureFixture[str]) -> None:
    show = changed(('kits = ["harrowmere", "generic"]', 'kits = ["own", "generic"]'))
    for side, ohm in (("old", 0.08), ("new", 0.15)):
        (folders / side / "a.toml").write_text(show, encoding="utf-8")
        (folders / f"{side}-kits").mkdir()
        (folders / f"{side}-kits" / "own.toml").write_text(
            'format = 1\nid = "own"\nversion = "1"\nextends = "harrowmere"\n'
            f'[[cable]]\nid = "shore-cable"\nohm_per_m = {ohm}\n',
            encoding="utf-8",
        )
    arguments = ["diff", "old/a.toml", "new/a.toml", "--kit-dir", "new-kits"]
    assert run(arguments) == 0
    assert "  no change" in capsys.readouterr().out
    assert run([*arguments, "--old-kit-dir", "old-kits"]) == 0
    said = capsys.readouterr().out
    assert "own: contents changed, version still 1" in said
    assert "margin" in said


def test_the_day_decides_about_ignores(folders: Path, capsys: pytest.CaptureFixture[str]) -> None:
    long = changed(("length_m = 30", "length_m = 60"))
    ignore = '[[checks.ignore]]\ncode = "WIR002"\nreason = "on loan"\nuntil = 2026-08-31\n'
    (folders / "old" / "a.toml").write_text(long, encoding="utf-8")
    (folders / "new" / "a.toml").write_text(long + ignore, encoding="utf-8")
    assert run(["diff", "old/a.toml", "new/a.toml", "--today", "2026-08-31"]) == 0
    assert "Findings that the show ignores now (1)" in capsys.readouterr().out
    assert run(["diff", "old/a.toml", "new/a.toml", "--today", "2026-09-01"]) == 0
    said = capsys.readouterr().out
    assert "ignores now" not in said
    assert "DOC025" in said


def test_the_json_of_a_long_list_of_changes_fits_the_schema(
    folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    examples = Path(__file__).parents[2] / "examples"
    shows = [str(examples / f"boathouse-{name}.toml") for name in ("troubles", "mended")]
    for pair in (shows, shows[::-1]):
        assert run(["diff", *pair, "--format", "json"]) == 0
        data = json.loads(capsys.readouterr().out)
        jsonschema.Draft202012Validator(SCHEMA).validate(data)
        (show,) = data["shows"]
        for key in ("verdicts", "figures", "cues_moved", "findings_new", "findings_cleared"):
            assert show[key], key
