"""The sources keep to the layout that DEVELOPERS.md states."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCES = ROOT / "src" / "bridgewire"
LINES_AT_MOST = 400


@pytest.fixture(scope="module")
def guide() -> str:
    return (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def _layers() -> list[str]:
    """Layers of the import contract from top to bottom, without the package's name."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    (contract,) = (c for c in project["tool"]["importlinter"]["contracts"] if c["type"] == "layers")
    names = [name.strip() for row in contract["layers"] for name in row.split(":")]
    return [name.removeprefix("bridgewire.") for name in names]


def _folders_and_modules() -> set[str]:
    """What stands directly in the package."""
    found = {p.stem for p in SOURCES.glob("*.py") if not p.name.startswith("__")}
    return found | {p.parent.name for p in SOURCES.glob("*/__init__.py")}


def test_every_folder_and_module_is_a_layer() -> None:
    """A folder that is no layer could import whatever it liked."""
    assert set(_layers()) == _folders_and_modules()


def test_the_guide_lists_the_layers_in_order(guide: str) -> None:
    table = re.findall(r"^\| (`[^|]+) \|", guide.split("## Layout")[1].split("##")[0], re.M)
    listed = [name.removesuffix(".py") for row in table for name in re.findall(r"`([^`]+)`", row)]
    assert listed == _layers()


def test_no_source_file_is_long(guide: str) -> None:
    lengths = {
        str(p.relative_to(SOURCES)): len(p.read_text(encoding="utf-8").splitlines())
        for p in SOURCES.rglob("*.py")
    }
    assert {name: n for name, n in lengths.items() if n > LINES_AT_MOST} == {}
    assert f"{LINES_AT_MOST} lines" in guide
