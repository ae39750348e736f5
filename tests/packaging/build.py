"""Builds the wheel and the source archive in a copy of the tree."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from tests.packaging.project import ROOT

DAY = "1764028800"
"""SOURCE_DATE_EPOCH of the builds."""
_LEFT_OUT = shutil.ignore_patterns(
    ".git", "__pycache__", "*.pyc", "node_modules", ".*_cache", ".hypothesis", ".benchmarks",
    ".venv*", "out", "build", "dist", "*.egg-info",
)  # fmt: skip
_SCRIPT = """
import sys
from hatchling.build import build_sdist, build_wheel
print({"wheel": build_wheel, "sdist": build_sdist}[sys.argv[1]](sys.argv[2]))
"""


def copy_of_tree(target: Path, source: Path = ROOT) -> Path:
    """Everything that a build could take in, without what git ignores."""
    shutil.copytree(source, target, ignore=_LEFT_OUT)
    return target


def build(tree: Path, kind: str, target: Path) -> Path:
    """Build ``wheel`` or ``sdist`` of a tree into a folder."""
    target.mkdir(parents=True, exist_ok=True)
    done = subprocess.run(
        [sys.executable, "-c", _SCRIPT, kind, str(target)],
        cwd=tree,
        env={**os.environ, "SOURCE_DATE_EPOCH": DAY},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return target / done.stdout.splitlines()[-1]
