"""Tools that these tests look for, and the steps of CI files as they would be run."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.oracles import REQUIRE

ROOT = Path(__file__).parents[2]
GROUP = ROOT / "examples" / "group-repository"
DAY = "2026-12-01"
"""The day on which the example is checked; one of its ignores ends in March 2027."""


def tool_or_skip(name: str) -> str:
    """The path of a program; skip where there is none, fail where oracles are required."""
    beside = Path(sys.executable).with_name(name)
    found = str(beside) if beside.exists() else shutil.which(name)
    if found:
        return found
    if os.environ.get(REQUIRE) == "1":
        pytest.fail(f"the program {name} is missing, and {REQUIRE}=1", pytrace=False)
    pytest.skip(f"the program {name} is not installed")


def document(file: Path) -> dict[str, Any]:
    """A YAML file as plain data."""
    data = yaml.safe_load(file.read_text(encoding="utf-8"))
    assert isinstance(data, dict)
    return data


def run_steps(steps: list[dict[str, Any]]) -> dict[str, str]:
    """The commands of a list of steps by the step's name."""
    return {s["name"]: s["run"] for s in steps if "run" in s}


def shell(
    script: str, cwd: Path, env: Mapping[str, str], program: str = "bash"
) -> subprocess.CompletedProcess[str]:
    """Run a step as the service does: a shell that stops at the first error."""
    plain = {k: v for k, v in os.environ.items() if k in ("PATH", "HOME", "LANG", "PIP_INDEX_URL")}
    return subprocess.run(
        [program, "-e", "-c", script]
        if program == "sh"
        else [program, "--noprofile", "--norc", "-e", "-o", "pipefail", "-c", script],
        cwd=cwd,
        env={**plain, "PYTHONUTF8": "1", "BRIDGEWIRE_PLUGINS": "none", **env},
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=500,
    )


def with_command(folder: Path) -> str:
    """A search path on which ``bridgewire`` is the one under test."""
    folder.mkdir(exist_ok=True)
    script = folder / "bridgewire"
    script.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m bridgewire.cli "$@"\n')
    script.chmod(0o755)
    return f"{folder}:{os.environ['PATH']}"


def copy_of_group(folder: Path) -> Path:
    """The example repository, copied; without what runs left behind."""
    target = folder / "group"
    shutil.copytree(GROUP, target, ignore=shutil.ignore_patterns("out", ".venv"))
    return target


def copy_of_project(folder: Path) -> Path:
    """What pip and pre-commit need of this project, without the files of the version control."""
    if not (ROOT / "src").is_dir():
        pytest.skip("the installed wheel is tested, without its sources")
    target = folder / "bridgewire"
    target.mkdir()
    for name in ("src", "profiles", ".github"):
        ignored = shutil.ignore_patterns("__pycache__", "*.pyc")
        shutil.copytree(ROOT / name, target / name, ignore=ignored)
    for name in ("pyproject.toml", "README.md", "LICENSE", ".pre-commit-hooks.yaml"):
        shutil.copy(ROOT / name, target / name)
    return target


def replaced(file: Path, old: str, new: str) -> None:
    """Replace a text that is in a file once."""
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1, old
    file.write_text(text.replace(old, new), encoding="utf-8")


EXPRESSION = re.compile(r"\$\{\{\s*(.*?)\s*\}\}")
"""An expression that the service fills in before a step runs."""
