"""Help and version: quick, and nothing heavy imported."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

import bridgewire
from bridgewire.cli.main import COMMANDS
from tests.cli.running import COMMAND, environment, run_command

HEAVY = ("numpy", "jsonschema", "cattrs", "yaml", "tree_sitter", "scipy", "bridgewire.api")


@pytest.mark.parametrize(
    "arguments", [["--help"], ["--version"], *([name, "--help"] for name in COMMANDS)], ids=" ".join
)
def test_help_imports_nothing_heavy(arguments: list[str]) -> None:
    script = (
        "import sys; from bridgewire.cli.main import run; "
        f"code = run({arguments!r}); "
        f"sys.exit(code or bool([m for m in {HEAVY!r} if m in sys.modules]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, env=environment(), check=False
    )
    assert done.returncode == 0, done.stderr


def test_help_takes_less_than_three_tenths_of_a_second() -> None:
    best = float("inf")
    for _ in range(5):
        begun = time.perf_counter()
        subprocess.run([*COMMAND, "--help"], capture_output=True, env=environment(), check=True)
        best = min(best, time.perf_counter() - begun)
    assert best < 0.3


def test_version() -> None:
    assert run_command("--version").stdout == f"bridgewire, version {bridgewire.__version__}\n"


def test_help_lists_every_command_and_the_exit_codes() -> None:
    text = run_command("--help").stdout
    for name, summary in COMMANDS.items():
        assert name in text
        assert summary in text
    assert "2 bad input" in text
    assert all(len(line) <= 80 for line in text.splitlines())


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_has_help_of_80_columns(name: str) -> None:
    done = run_command(name, "--help")
    assert done.returncode == 0
    assert all(len(line) <= 80 for line in done.stdout.splitlines())


def test_a_mistyped_command_gets_a_hint() -> None:
    done = run_command("chek")
    assert done.returncode == 2
    assert "did you mean 'check'?" in done.stderr


def test_the_package_exports_lazily_what_it_says() -> None:
    script = (
        "import sys, bridgewire; assert 'numpy' not in sys.modules; "
        "assert set(bridgewire.__all__) <= set(dir(bridgewire)); "
        "[getattr(bridgewire, n) for n in bridgewire.__all__]; "
        "from bridgewire import *; check, load_show, Report"
    )
    subprocess.run([sys.executable, "-c", script], env=environment(), check=True)
    with pytest.raises(AttributeError, match="nothing_such"):
        _ = bridgewire.nothing_such
