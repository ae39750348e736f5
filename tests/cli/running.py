"""Runs the command in a process of its own, with or without a terminal."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

COMMAND = [sys.executable, "-m", "bridgewire.cli"]
_KEPT = ("PATH", "HOME", "LANG", "PYTHONPATH", "VIRTUAL_ENV", "SYSTEMROOT")


def environment(more: Mapping[str, str] | None = None) -> dict[str, str]:
    """A plain environment, so that the caller's settings change nothing."""
    kept = {k: v for k, v in os.environ.items() if k in _KEPT}
    plain = {"TERM": "xterm", "PYTHONUTF8": "1", "BRIDGEWIRE_PLUGINS": "none"}
    return {**kept, **plain, **(more or {})}


def run_command(
    *arguments: str, cwd: Path | None = None, env: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Run without a terminal."""
    return subprocess.run(
        [*COMMAND, *arguments],
        capture_output=True,
        encoding="utf-8",
        cwd=cwd,
        env=environment(env),
        check=False,
        timeout=120,
    )


def run_on_terminal(
    *arguments: str, cwd: Path | None = None, env: Mapping[str, str] | None = None
) -> tuple[int, str]:
    """Run with all three streams on a terminal of 80 columns; exit code and what it showed."""
    main, side = pty.openpty()
    process = subprocess.Popen(
        [*COMMAND, *arguments],
        stdin=side,
        stdout=side,
        stderr=side,
        cwd=cwd,
        env=environment({"COLUMNS": "80", "LINES": "24", **(env or {})}),
        close_fds=True,
    )
    os.close(side)
    shown = b""
    while True:
        try:
            chunk = os.read(main, 65536)
        except OSError:
            break
        if not chunk:
            break
        shown += chunk
    os.close(main)
    return process.wait(timeout=120), shown.decode("utf-8")
