"""No command reaches for the network, on any input."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import urllib.request

import pytest

from tests.security.commands import Ran, command_of, every_command, no_network
from tests.security.hostile import EXAMPLES, ROOT

MODULES = ("http.client", "urllib.request", "requests", "urllib3", "ftplib", "smtplib", "ssl")


def test_the_watch_sees_what_reaches_out() -> None:
    with no_network() as attempts:
        with pytest.raises(Exception, match=r"socket\.getaddrinfo"):
            socket.getaddrinfo("localhost", 80)
        with pytest.raises(Exception, match=r"socket\.connect"), socket.socket() as one:
            one.connect(("127.0.0.1", 9))
        with pytest.raises(Exception, match=r"urllib\.Request"):
            urllib.request.urlopen("http://127.0.0.1:9/")
    assert len(attempts) == 3


def test_every_command_is_run(plain_runs: list[Ran], hostile_runs: list[Ran]) -> None:
    # A new command belongs into `command_lines` of tests/security/commands.py.
    assert {r.name for r in plain_runs} == every_command()
    assert {r.name for r in hostile_runs} == every_command()


def test_no_command_reaches_for_the_network(plain_runs: list[Ran], hostile_runs: list[Ran]) -> None:
    for ran in (*plain_runs, *hostile_runs):
        assert ran.attempts == (), ran.arguments


def test_every_command_does_its_work_without(plain_runs: list[Ran]) -> None:
    for ran in plain_runs:
        wrong = any("none\x1b" in a for a in ran.arguments)
        assert ran.code == 2 if wrong else ran.code in (0, 1), (ran.arguments, ran.err)


def test_a_check_does_not_even_import_what_could() -> None:
    code = (
        "import sys; from bridgewire.cli.main import run; "
        f"code = run(['check', {str(EXAMPLES / 'midwinter-small.toml')!r}]); "
        f"print([m for m in {MODULES!r} if m in sys.modules], code, file=sys.stderr)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60,
        env={**os.environ, "BRIDGEWIRE_PLUGINS": "none"},
    )  # fmt: skip
    assert ran.stderr.strip() == "[] 0"


def test_a_check_in_a_space_without_network() -> None:
    unshare = shutil.which("unshare")
    inside = [unshare, "-rn"] if unshare and _may_unshare(unshare) else []
    # Where no such space can be made the command runs all the same; the watch above holds always.
    ran = subprocess.run(
        [*inside, sys.executable, "-m", "bridgewire.cli", "check",
         str(EXAMPLES / "midwinter-small.toml")],
        capture_output=True, text=True, timeout=60, check=False,
        env={**os.environ, "BRIDGEWIRE_PLUGINS": "none", "PYTHONPATH": str(ROOT / "src")},
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr


def _may_unshare(unshare: str) -> bool:
    return (
        subprocess.run([unshare, "-rn", "true"], capture_output=True, check=False).returncode == 0
    )


def test_no_source_file_imports_what_reaches_out() -> None:
    for file in (ROOT / "src").rglob("*.py"):
        for line in file.read_text(encoding="utf-8").splitlines():
            words = line.split()
            if words[:1] in (["import"], ["from"]) and len(words) > 1:
                assert words[1] not in MODULES, file
                assert words[1].split(".")[0] not in ("socket", "requests", "http"), file


def test_the_names_of_lines_are_commands() -> None:
    known = every_command()
    assert command_of(("bench", "fit", "x"), known) == "bench fit"
    assert command_of(("check", "fit"), known) == "check"
