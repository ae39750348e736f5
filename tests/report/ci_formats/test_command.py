"""``bridgewire check --write``: several reports of one run, all of them or none."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import click
import pytest

from bridgewire.cli.main import run
from bridgewire.cli.output import write_files
from bridgewire.report.formats import OWN_FORMATS
from tests.cli.running import COMMAND, environment, run_command
from tests.cli.shows import BAD, CLEAN, SMALL, write_show

OTHERS = [name for name in OWN_FORMATS if name != "text"]


@pytest.fixture
def show(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return write_show(tmp_path, CLEAN)


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_every_format_at_once_and_the_text_on_the_terminal(show: Path) -> None:
    asked = [a for name in OWN_FORMATS for a in ("--write", f"{name}=out/{name}")]
    (show.parent / "out").mkdir()
    done = run_command("check", show.name, *asked, cwd=show.parent)
    assert done.returncode == 0, done.stderr
    assert done.stdout == run_command("check", show.name, cwd=show.parent).stdout
    assert names(show.parent / "out") == sorted(OWN_FORMATS)
    assert (show.parent / "out" / "text").read_text(encoding="utf-8") == done.stdout


@pytest.mark.parametrize("name", OTHERS)
def test_a_file_holds_what_standard_output_would(
    show: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert (
        run(["check", show.name, "--format", name, "--write", f"{name}=a", "--fail-on", "error"])
        == 0
    )
    assert Path("a").read_text(encoding="utf-8") == capsys.readouterr().out
    assert run(["check", show.name, "--format", name, "--output", "b", "--write", "text=c"]) == 0
    assert capsys.readouterr().out == ""
    assert Path("b").read_bytes() == Path("a").read_bytes()


def test_an_unusable_show_is_in_the_files_and_on_standard_error(
    show: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = write_show(show.parent, BAD, "bad.toml")
    asked = [a for name in OTHERS for a in ("--write", f"{name}={name}.out")]
    assert run(["check", show.name, bad.name, *asked]) == 2
    assert "DOC004" in capsys.readouterr().err
    for name in OTHERS:
        assert "bad.toml" in Path(f"{name}.out").read_text(encoding="utf-8"), name
    (log,) = json.loads(Path("sarif.out").read_text(encoding="utf-8"))["runs"]
    assert log["invocations"][0]["executionSuccessful"] is False


def test_an_ignored_finding_has_its_place(show: Path) -> None:
    ignore = '[[checks.ignore]]\ncode = "KIT004"\nreason = "measured by ourselves"\n'
    show.write_text(show.read_text(encoding="utf-8") + ignore, encoding="utf-8")
    assert run(["check", show.name, "--write", "sarif=a.sarif"]) == 0
    (log,) = json.loads(Path("a.sarif").read_text(encoding="utf-8"))["runs"]
    hidden = [r for r in log["results"] if r["suppressions"]]
    assert hidden
    for result in hidden:
        assert result["suppressions"][0]["justification"] == "measured by ourselves"
        assert result["locations"][0]["physicalLocation"]["region"]["startLine"] > 1


def test_fail_on_goes_into_the_test_report(show: Path) -> None:
    assert run(["check", str(SMALL), "--write", "junit=error.xml"]) == 1
    assert run(["check", str(SMALL), "--fail-on", "info", "--write", "junit=info.xml"]) == 1
    error, info = Path("error.xml").read_text(), Path("info.xml").read_text()
    assert info.count("<failure") > error.count("<failure") > 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--write", "sarif"], "expected NAME=FILE"),
        (["--write", "=x"], "expected NAME=FILE"),
        (["--write", "sarif="], "expected NAME=FILE"),
        (
            ["--write", "sariff=x"],
            "there is no format 'sariff'; there are: text, json, html, sarif",
        ),
        (["--write", "sarif=folder"], "cannot write folder: it is a folder"),
        (["--write", "sarif=x", "--write", "junit=x"], "two outputs go to one file: x and x"),
        (["--write", "sarif=x", "--write", "junit=./folder/../x"], "two outputs go to one file"),
        (["--output", "x", "--write", "junit=x"], "two outputs go to one file"),
        (["--write", "sarif=old", "--write", "junit=link"], "two outputs go to one file"),
        (["--write", "sarif=old", "--write", "junit=hard"], "two outputs go to one file"),
        (["--write", "sarif=show.toml"], "this command reads it"),
        (["--kit", "bench", "--write", "sarif=x"], "a comparison (--kit, --swap) is text or json"),
    ],
)
def test_outputs_that_cannot_be_meant_are_refused_before_any_work(
    show: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    Path("folder").mkdir()
    Path("old").write_text("before")
    Path("link").symlink_to("old")
    os.link("old", "hard")
    before = names(show.parent)
    assert run(["check", show.name, *arguments]) == 2
    said = capsys.readouterr()
    assert words in " ".join(said.err.split())
    assert said.out == ""
    assert names(show.parent) == before
    assert Path("old").read_text() == "before"


def test_a_comparison_can_be_written_as_json(show: Path) -> None:
    assert run(["check", show.name, "--kit", "bench", "--write", "json=a.json"]) == 0
    assert json.loads(Path("a.json").read_text())["comparisons"]


def test_a_text_file_says_what_kept_a_show_from_being_checked(
    show: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A job keeps the file and may lose the screen; an empty one would look like nothing wrong."""
    Path("bad.toml").write_text('format = 1\ntitle = "x"\nkits = ["no such"]\n')
    assert run(["check", "bad.toml", "--write", "text=alone.txt"]) == 2
    assert "no such" in capsys.readouterr().err
    alone = Path("alone.txt").read_text()
    assert alone.startswith("bad.toml:3:")
    assert alone.endswith("1 problem; nothing was checked.\n")
    assert run(["check", "bad.toml", show.name, "--write", "text=both.txt"]) == 2
    said = capsys.readouterr()
    told = alone.replace("; nothing was checked", " in bad.toml: it was not checked")
    both = Path("both.txt").read_text()
    assert both.startswith(told)
    assert both.removeprefix(told).lstrip("\n") == said.out
    assert "it was not checked" not in said.out


def test_a_name_with_an_equals_sign_and_one_as_long_as_the_disk_allows(show: Path) -> None:
    long = "灯" * 85  # 255 bytes
    assert run(["check", show.name, "--write", "json=a=b", "--write", f"sarif={long}"]) == 0
    assert Path("a=b").stat().st_size > 0
    assert Path(long).stat().st_size > 0


def test_a_missing_folder_keeps_all_others_from_being_written(
    show: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("old").write_text("before")
    before = names(show.parent)
    asked = ["--write", "json=old", "--write", "sarif=new", "--write", "junit=no/such/x"]
    assert run(["check", show.name, *asked]) == 2
    said = capsys.readouterr()
    assert "cannot write no/such/x: No such file or directory; no file was replaced" in said.err
    assert said.out == ""
    assert names(show.parent) == before
    assert Path("old").read_text() == "before"


def test_a_show_whose_name_is_no_utf8(show: Path) -> None:
    name = os.fsdecode(b"caf\xe9.toml")
    try:
        show.rename(name)
    except OSError:
        pytest.skip("this disk has only UTF-8 names")
    asked = [a for n in OWN_FORMATS for a in ("--write", f"{n}={n}.out")]
    assert run(["check", name, *asked]) == 0
    for n in OWN_FORMATS:
        assert Path(f"{n}.out").read_bytes().decode("utf-8")
    assert "caf%E9.toml" in Path("sarif.out").read_text(encoding="utf-8")


@pytest.mark.parametrize("failing", [0, 1, 2])
def test_replacing_that_fails_half_way_puts_everything_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    old, new, last = (tmp_path / n for n in ("old", "new", "last"))
    old.write_text("before")
    old.chmod(0o600)
    last.write_text("before too")
    real, calls = os.replace, iter(range(100))

    def replace(source: Path, target: Path) -> None:
        if next(calls) == failing:
            raise OSError(5, "Input/output error")
        real(source, target)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(click.ClickException, match="Input/output error; no file was replaced"):
        write_files([(str(old), "a"), (str(new), "b"), (str(last), "c")])
    assert names(tmp_path) == ["last", "old"]
    assert (old.read_text(), last.read_text()) == ("before", "before too")
    assert old.stat().st_mode & 0o777 == 0o600


def test_a_disk_without_hard_links_still_puts_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = tmp_path / "old"
    old.write_text("before")
    real, calls = os.replace, iter(range(100))

    def no_links(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    def replace(source: Path, target: Path) -> None:
        if next(calls) == 1:
            raise KeyboardInterrupt
        real(source, target)

    monkeypatch.setattr(os, "link", no_links)
    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(KeyboardInterrupt):
        write_files([(str(old), "a"), (str(tmp_path / "new"), "b")])
    assert names(tmp_path) == ["old"]
    assert old.read_text() == "before"


def test_a_pipe_that_fails_keeps_files_from_being_replaced(tmp_path: Path) -> None:
    old = tmp_path / "old"
    old.write_text("before")
    with pytest.raises(click.ClickException, match="cannot write /dev/full: No space left"):
        write_files([(str(old), "after"), ("/dev/full", "x" * 100_000)])
    assert old.read_text() == "before"
    assert names(tmp_path) == ["old"]
    write_files([(str(old), "after"), (os.devnull, "x")])
    assert old.read_text() == "after"


def test_all_formats_of_a_small_show_take_little_time(show: Path) -> None:
    """The aim is 0.7 s on a quiet computer; the time of the processor hangs less on its load."""
    asked = [a for name in OWN_FORMATS for a in ("--write", f"{name}={name}.out")]
    spent = []
    for _ in range(3):
        before = os.times()
        subprocess.run(
            [*COMMAND, "check", show.name, *asked],
            capture_output=True,
            env=environment(),
            check=True,
        )
        after = os.times()
        spent.append(
            after.children_user
            + after.children_system
            - before.children_user
            - before.children_system
        )
    assert min(spent) < 1.4
