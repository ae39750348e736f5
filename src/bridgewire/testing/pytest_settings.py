"""What pytest's command line and ini file say of the checks of shows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from bridgewire.report.baseline import Baseline

_WIDTH = 96


def fail_on(config: pytest.Config) -> str:
    """Severity that fails a test: of the command line, else of the ini file."""
    stated = config.getoption("--bridgewire-fail-on")
    return str(stated if stated is not None else config.getini("bridgewire_fail_on"))


def kit_dirs(config: pytest.Config) -> tuple[Path, ...]:
    """Folders with kit profiles: of the command line, then of the ini file."""
    named = [config.invocation_params.dir / d for d in config.getoption("--bridgewire-kit-dir")]
    return (*named, *(Path(d) for d in config.getini("bridgewire_kit_dirs")))


def baseline_file(config: pytest.Config) -> Path | None:
    """File of known findings: of the command line, else of the ini file."""
    stated = config.getoption("--bridgewire-baseline")
    if stated is not None:
        return Path(config.invocation_params.dir, stated)
    in_file = config.getini("bridgewire_baseline")
    if not in_file:
        return None
    return Path(config.rootpath if config.inipath is None else config.inipath.parent, in_file)


def baseline(config: pytest.Config) -> Baseline | None:
    """What the file of known findings says.

    Raises
    ------
    pytest.UsageError
        If it cannot be used; with every problem in it.
    """
    from bridgewire.errors import InputError
    from bridgewire.report.baseline_file import read_baseline
    from bridgewire.report.problems import problem_lines

    file = baseline_file(config)
    if file is None:
        return None
    try:
        return read_baseline(file)
    except InputError as error:
        lines = (line for f in error.findings for line in problem_lines(f, _WIDTH))
        raise pytest.UsageError("\n".join(lines)) from None
