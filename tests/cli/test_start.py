"""Help and version: quick, and nothing heavy imported."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator

import click
import pytest

import bridgewire
from bridgewire.cli.main import COMMANDS, main
from tests.cli.running import COMMAND, environment, run_command

LIGHT = frozenset(("bridgewire", "click"))
"""What the help may import besides the standard library. No package of an extra is among them, and
of what every check needs, numpy and the readers of documents are not either."""
OWN_MODULES = 16
MODULES = 60
"""How many modules of bridgewire, and how many in all besides click's own, one help may import."""
MODULES_OF_THE_PACKAGE = 40
"""The same for ``import bridgewire``, which brings two of its own."""


def subcommands(command: click.Command, words: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """The words of every command, and of those below it."""
    if words:
        yield words
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            found = command.get_command(context, name)
            assert found is not None
            yield from subcommands(found, (*words, name))


def imported(script: str) -> list[str]:
    """What a script imports after it has set `before`, the modules that do not count."""
    told = "; import sys; print(chr(10) + ' '.join(sorted(set(sys.modules) - before)))"
    done = subprocess.run(
        [sys.executable, "-c", script + told],
        capture_output=True,
        env=environment(),
        check=True,
        encoding="utf-8",
    )
    return done.stdout.splitlines()[-1].split()


def not_light(modules: list[str]) -> set[str]:
    packages = {m.partition(".")[0] for m in modules}
    return packages - LIGHT - sys.stdlib_module_names


@pytest.mark.parametrize(
    "words",
    [("--help",), ("--version",), *((*w, "--help") for w in subcommands(main))],
    ids=" ".join,
)
def test_help_imports_little(words: tuple[str, ...]) -> None:
    modules = imported(
        "import sys, click; before = set(sys.modules); "
        f"from bridgewire.cli.main import run; code = run({list(words)!r}); assert code == 0"
    )
    own = [m for m in modules if m.partition(".")[0] == "bridgewire"]
    assert not_light(modules) == set()
    assert "bridgewire.api" not in own
    assert len(own) <= OWN_MODULES, own
    assert len(modules) <= MODULES, modules


def test_importing_the_package_imports_little() -> None:
    modules = imported("import sys; before = set(sys.modules); import bridgewire")
    assert [m for m in modules if m.partition(".")[0] not in sys.stdlib_module_names] == [
        "bridgewire",
        "bridgewire.version",
    ]
    assert len(modules) <= MODULES_OF_THE_PACKAGE, modules


def test_a_check_imports_no_package_of_an_extra() -> None:
    modules = imported(
        "import sys; before = set(sys.modules); from bridgewire.api import check; "
        "check('examples/midwinter-small.toml')"
    )
    assert not_light(modules) <= {"attr", "attrs", "numpy", "tree_sitter", "tree_sitter_toml"}
    assert "numpy" in modules, "the test sees what is imported"


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
