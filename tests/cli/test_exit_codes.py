"""0 clean, 1 findings, 2 bad input or usage, 3 a fault of our own; never a traceback."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

from bridgewire.api import check
from bridgewire.cli import check_run
from bridgewire.cli.main import main, run
from bridgewire.diagnostics import Severity
from tests.cli.running import COMMAND, environment, run_command, run_on_terminal
from tests.cli.shows import BAD, CLEAN, SMALL, write_show


def test_a_show_with_errors_is_1() -> None:
    done = run_command("check", str(SMALL))
    assert done.returncode == 1
    assert "Traceback" not in done.stderr


def test_fail_on_decides(tmp_path: Path) -> None:
    file = write_show(tmp_path, CLEAN)
    worst = check(file).worst
    assert worst is not None
    for word in ("info", "warning", "error"):
        expected = 1 if worst >= Severity.from_word(word) else 0
        assert run(["check", str(file), "--fail-on", word]) == expected
    assert worst < Severity.ERROR
    assert run_command("check", str(file)).returncode == 0


def test_bad_input_is_2_and_shows_every_problem(tmp_path: Path) -> None:
    file = write_show(tmp_path, BAD)
    done = run_command("check", file.name, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "show.toml:2:1: DOC004" in done.stderr
    assert "show.toml:13:12: DOC007" in done.stderr
    assert '     2 | titel = "Regatta Night"' in done.stderr
    assert "       | ^^^^^" in done.stderr
    assert "run[0].length_m" in done.stderr
    assert "did you mean title?" in done.stderr
    assert "Traceback" not in done.stderr


def test_dangling_references_are_2(tmp_path: Path) -> None:
    file = write_show(tmp_path, CLEAN.replace('at = "jetty-1/1"', 'at = "jety-1/1"'))
    done = run_command("check", file.name, cwd=tmp_path)
    assert done.returncode == 2
    assert "show.toml:20:6: DOC011" in done.stderr
    assert "jetty-1" in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ["check"],
        ["check", "no-such-file.toml"],
        ["check", str(SMALL), "--no-such-option"],
        ["check", str(SMALL), "--fail-on", "never"],
        ["check", str(SMALL), "--kit-dir", "no-such-folder"],
        ["check", str(SMALL), "--swap", "heron"],
        ["check", str(SMALL), "--swap", "bench:hern=bench:heron"],
        ["check", str(SMALL), "--output", "no-such-folder/report.txt"],
        ["explain", "FIX001"],
        ["kits", "show", "no-such-kit"],
        ["kits", "validate", "no-such-file.toml"],
        ["trace", str(SMALL), "no such cue"],
        ["trace", str(SMALL), "riddle"],
        ["trace", str(SMALL), "opening", "--igniter", "comet far"],
        ["trace", str(SMALL), "opening", "--plot", "plot.gif"],
        ["trace", str(SMALL), "opening", "--output", "no-such-folder/a.txt"],
        ["trace", str(SMALL), "opening", "--step-ms", "0"],
        ["schema", "box"],
        ["nonsense"],
    ],
    ids=" ".join,
)
def test_wrong_usage_is_2_without_traceback(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    shown = capsys.readouterr().err
    assert shown.strip()
    assert "Traceback" not in shown


def test_a_fault_of_our_own_is_3(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("float \x1b[31m division")

    monkeypatch.setattr(check_run, "check", broken)
    monkeypatch.delenv("BRIDGEWIRE_DEBUG", raising=False)
    assert run(["check", str(SMALL)]) == 3
    shown = capsys.readouterr().err
    assert "internal error: ZeroDivisionError" in shown
    assert "Traceback" not in shown
    assert "\x1b" not in shown
    monkeypatch.setenv("BRIDGEWIRE_DEBUG", "1")
    assert run(["check", str(SMALL)]) == 3
    assert "Traceback" in capsys.readouterr().err


def test_exit_codes_reach_clicks_own_runner(tmp_path: Path) -> None:
    runner = CliRunner()
    assert runner.invoke(main, ["check", str(SMALL)]).exit_code == 1
    assert runner.invoke(main, ["check", str(write_show(tmp_path, CLEAN))]).exit_code == 0
    assert runner.invoke(main, ["explain", "FIR001"]).exit_code == 0


def test_a_reader_that_goes_away_is_no_finding_and_no_fault() -> None:
    process = subprocess.Popen(
        [*COMMAND, "explain"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
        encoding="utf-8",
    )
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    shown = process.stderr.read()
    process.stderr.close()
    assert process.wait(timeout=60) == 141  # 128 + SIGPIPE
    assert shown == ""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a device that is always full")
def test_a_full_disk_under_standard_output_is_no_fault_of_ours() -> None:
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [*COMMAND, "explain"],
            stdout=full,
            stderr=subprocess.PIPE,
            env=environment(),
            encoding="utf-8",
            check=False,
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr == "bridgewire: the output cannot be written: No space left on device\n"


@pytest.mark.parametrize(("closed", "code"), [(1, 1), (2, 1)])
def test_a_stream_that_is_closed_from_the_start_changes_no_exit_code(
    closed: int, code: int
) -> None:
    """As in a job that has neither a terminal nor a log."""
    script = f'exec {closed}>&-; exec "$@"'
    done = subprocess.run(
        ["sh", "-c", script, "sh", *COMMAND, "check", str(SMALL)],
        capture_output=True,
        env=environment(),
        encoding="utf-8",
        check=False,
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (code, "")


@pytest.mark.parametrize("group", ["", "kits", "baseline", "bench"])
def test_a_mistyped_command_gets_a_hint_in_every_group(
    group: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = {"": "chekc", "kits": "shwo", "baseline": "crate", "bench": "chekc"}
    meant = {"": "check", "kits": "show", "baseline": "create", "bench": "check"}
    assert run([*([group] if group else []), words[group]]) == 2
    assert f"did you mean {meant[group]!r}?" in capsys.readouterr().err


def test_a_refusal_is_broken_between_words_on_a_terminal() -> None:
    code, shown = run_on_terminal("check", str(SMALL), "--format", "sarf")
    assert code == 2
    assert max(len(line) for line in shown.splitlines()) <= 80
    assert "github-annotations" in shown


def test_a_profile_that_is_not_there_is_told_without_a_place_in_a_document(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["kits", "show", "no-such-kit"]) == 2
    shown = capsys.readouterr().err
    assert "there is no kit profile 'no-such-kit'" in shown
    assert "at: " not in shown
