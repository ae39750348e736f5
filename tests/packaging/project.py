"""What pyproject.toml says, and the lowest versions that it allows.

``python -m tests.packaging.project`` writes ``.ci/minimum.txt`` anew after a lower bound changed.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
MINIMUM = ROOT / ".ci" / "minimum.txt"
needs_sources = pytest.mark.skipif(
    not (ROOT / "src").is_dir(), reason="the installed wheel is tested, without its sources"
)
_HEAD = """# The lowest versions that pyproject.toml allows of what bridgewire, its extras and
# tests need directly: constraints for pip, see .ci/wheel-tests. Written by:
# python -m tests.packaging.project
"""
_OURS = re.compile(r"bridgewire\[([^]]+)\]")
_BOUND = re.compile(r"([A-Za-z0-9_.-]+)(?:\[[^]]*\])?\s*>=\s*([0-9.]+)")
_NAME = re.compile(r"[A-Za-z0-9_.-]+")


def project() -> dict[str, Any]:
    """The table ``project``."""
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert isinstance(table, dict)
    return table


def extra(name: str) -> list[str]:
    """Requirements of an extra, those of the extras that it names included."""
    return list(_expanded(project()["optional-dependencies"][name]))


def _expanded(requirements: Iterable[str]) -> Iterator[str]:
    for requirement in requirements:
        ours = _OURS.fullmatch(requirement)
        if ours is None:
            yield requirement
            continue
        for name in ours[1].split(","):
            yield from extra(name.strip())


def distribution(requirement: str) -> str:
    """Name of the package that a requirement asks for, as the index writes it."""
    found = _NAME.match(requirement)
    assert found
    return found[0].lower().replace("_", "-")


def lower_bounds() -> dict[str, str]:
    """Package -> lowest version, of the package, its extras for users and its tests."""
    told = project()
    wanted = [*told["dependencies"], *extra("all"), *extra("test")]
    bounds: dict[str, str] = {}
    for requirement in wanted:
        found = _BOUND.match(requirement)
        assert found, f"{requirement}: no lower bound"
        name = distribution(requirement)
        assert bounds.setdefault(name, found[2]) == found[2], f"{name} has two lower bounds"
    return bounds


def minimum_text() -> str:
    """The file ``.ci/minimum.txt``."""
    lines = [f"{name}=={version}" for name, version in sorted(lower_bounds().items())]
    return _HEAD + "\n".join(lines) + "\n"


if __name__ == "__main__":
    MINIMUM.write_text(minimum_text(), encoding="utf-8")
