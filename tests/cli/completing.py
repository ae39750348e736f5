"""A folder with shows to be completed, the command under its own name, and the shells that ask."""

from __future__ import annotations

import os
import pty
import select
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.running import environment
from tests.oracles import REQUIRE

ROOT = Path(__file__).parents[2]
SMALL = (ROOT / "examples" / "midwinter-small.toml").read_text(encoding="utf-8")


def shell_or_skip(name: str) -> str:
    """Path of a shell. Where it is not installed, skip; fail where oracles are required."""
    found = shutil.which(name)
    if found is not None:
        return found
    if os.environ.get(REQUIRE) == "1":
        pytest.fail(f"the shell {name} is missing, and {REQUIRE}=1", pytrace=False)
    pytest.skip(f"the shell {name} is not installed")


def command_in(folder: Path) -> Path:
    """Put the command under its own name into a new folder."""
    folder.mkdir()
    script = folder / "bridgewire"
    script.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m bridgewire.cli "$@"\n')
    script.chmod(0o755)
    return folder


def shows_in(work: Path) -> Path:
    """A new folder with two shows, a kit, and files that are neither."""
    (work / "shows" / ".hidden").mkdir(parents=True)
    (work / "kits").mkdir()
    (work / "night.toml").write_text(SMALL, encoding="utf-8")
    (work / "shows" / "evening.yaml").write_text("title: x\nkits: [own]\n", encoding="utf-8")
    (work / "shows" / ".hidden" / "x.toml").write_text(SMALL, encoding="utf-8")
    (work / "kits" / "own.toml").write_text('format = 1\nid = "own"\n', encoding="utf-8")
    (work / "notes.toml").write_text("a = 1\n", encoding="utf-8")
    return work


class Home:
    """A home of its own with the command on the path, so that nobody's settings count."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "home"
        self.folder.mkdir()
        path = f"{command_in(folder / 'bin')}:{os.environ['PATH']}"
        self.env = environment({"PATH": path, "HOME": str(self.folder), "LANG": "C.UTF-8"})

    def script(self, shell: str) -> str:
        """What the command prints for a shell."""
        words = ["bridgewire", "completion", shell]
        return subprocess.run(
            words, env=self.env, capture_output=True, encoding="utf-8", check=True, timeout=60
        ).stdout


class Fish:
    """fish, set up as its row of docs/shell-completion.md says."""

    def __init__(self, folder: Path) -> None:
        self.program = shell_or_skip("fish")
        self.home = Home(folder)
        target = self.home.folder / ".config" / "fish" / "completions" / "bridgewire.fish"
        target.parent.mkdir(parents=True)
        target.write_text(self.home.script("fish"), encoding="utf-8")

    def offers(self, line: str, cwd: Path) -> list[tuple[str, str]]:
        """Words that fish offers for the end of a line, and what it says of them."""
        done = subprocess.run(
            [self.program, "--command", "complete --do-complete $argv[1]", line],
            capture_output=True,
            encoding="utf-8",
            cwd=cwd,
            env=self.home.env,
            check=False,
            timeout=60,
        )
        assert (done.returncode, done.stderr) == (0, "")
        split = [answer.partition("\t") for answer in done.stdout.splitlines()]
        return [(word, told) for word, _, told in split]


_ZSHRC = """PROMPT=
unsetopt prompt_sp
LISTMAX=0
autoload -Uz compinit
compinit -u -D
eval "$(bridgewire completion zsh)"
tell() { print -r -- "|$BUFFER|"; BUFFER=; zle accept-line }
zle -N tell
bindkey '^X' tell
"""


class Zsh:
    """zsh on a terminal, set up as its row of docs/shell-completion.md says."""

    def __init__(self, folder: Path, cwd: Path) -> None:
        program = shell_or_skip("zsh")
        home = Home(folder)
        (home.folder / ".zshrc").write_text(_ZSHRC, encoding="utf-8")
        self._terminal, side = pty.openpty()
        self._process = subprocess.Popen(
            [program, "-d", "-i"],
            stdin=side,
            stdout=side,
            stderr=side,
            cwd=cwd,
            env={**home.env, "TERM": "dumb", "COLUMNS": "160", "LINES": "60"},
            start_new_session=True,
        )
        os.close(side)

    def close(self) -> None:
        """End it."""
        self._process.kill()
        self._process.wait()
        os.close(self._terminal)

    def completes(self, line: str) -> tuple[str, list[str]]:
        """The line after the tabulator key, and the lines shown below it."""
        os.write(self._terminal, f"{line}\t\x18".encode())
        shown = self._until_told().replace("\r", "").replace("\a", "")
        *listed, told = shown.split("|")[0].split("\n"), shown.split("|")[1]
        return told, [row.rstrip() for row in listed[0]]

    def _until_told(self) -> str:
        shown = b""
        end = time.monotonic() + 60
        while shown.count(b"|") < 2:
            assert time.monotonic() < end, shown
            if select.select([self._terminal], [], [], 1)[0]:
                shown += os.read(self._terminal, 65536)
        return shown.decode()
