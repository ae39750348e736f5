"""What is in the wheel and in the source archive, and that two builds are the same."""

from __future__ import annotations

import os
import re
import tarfile
import time
import zipfile
from pathlib import Path

import pytest

from bridgewire import __version__
from tests.packaging.build import build, copy_of_tree
from tests.packaging.project import needs_sources

pytestmark = needs_sources
SUFFIXES = {".py", ".typed", ".js", ".css", ".jinja", ".html", ".json", ".toml"}
JUNK = (
    "src/bridgewire/__pycache__/api.cpython-311.pyc",
    "src/bridgewire/report/.mypy_cache/x.json",
    "tests/browser/node_modules/x/index.js",
    "docs/.venv/bin/python",
    ".hypothesis/examples/x",
    "out/report.html",
    "dist/old.whl",
)


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A tree in which runs have left things behind."""
    tree = copy_of_tree(tmp_path_factory.mktemp("built") / "tree")
    for name in JUNK:
        (tree / name).parent.mkdir(parents=True, exist_ok=True)
        (tree / name).write_text("junk", encoding="utf-8")
    return tree


@pytest.fixture(scope="module")
def built(tree: Path) -> tuple[Path, Path]:
    """Its wheel and its source archive."""
    target = tree.parent / "dist"
    return build(tree, "wheel", target), build(tree, "sdist", target)


def in_wheel(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def in_sdist(sdist: Path) -> set[str]:
    with tarfile.open(sdist) as archive:
        names = [m.name for m in archive.getmembers() if m.isfile()]
    head = f"bridgewire-{__version__}/"
    assert all(n.startswith(head) for n in names)
    return {n.removeprefix(head) for n in names}


def of_source(folder: Path) -> set[str]:
    """Files of a folder, without what runs leave behind."""
    return {
        str(p.relative_to(folder))
        for p in folder.rglob("*")
        if p.is_file() and not re.search(r"__pycache__|/\.[a-z_]*cache/|\.pyc$", str(p))
    }


def test_the_wheel_holds_the_package_the_profiles_and_nothing_else(
    tree: Path, built: tuple[Path, Path]
) -> None:
    names = in_wheel(built[0])
    info = f"bridgewire-{__version__}.dist-info/"
    assert {n.removeprefix(info) for n in names if n.startswith(info)} == {
        "METADATA", "RECORD", "WHEEL", "entry_points.txt", "licenses/LICENSE",
    }  # fmt: skip
    package = {n for n in names if not n.startswith(info)}
    assert package == (
        {f"bridgewire/{n}" for n in of_source(tree / "src" / "bridgewire")}
        | {f"bridgewire/profiles/{n}" for n in of_source(tree / "profiles")}
    )
    assert {Path(n).suffix for n in package} <= SUFFIXES
    assert not any("test" in Path(n).parts[:2] or n.startswith("tests") for n in package)


@pytest.mark.parametrize(
    "name",
    [
        "py.typed",
        "profiles/generic.toml",
        "profiles/harrowmere.toml",
        "schemas/show-1.json",
        "schemas/kit-1.json",
        "schemas/report-1.json",
        "report/html/style.css",
        "report/html/script.js",
        "report/html/templates/page.html.jinja",
        "report/sheets/sheet.html",
    ],
)
def test_the_wheel_holds(name: str, built: tuple[Path, Path]) -> None:
    assert f"bridgewire/{name}" in in_wheel(built[0])


def test_the_source_archive_holds_what_tests_and_other_repositories_need(
    built: tuple[Path, Path],
) -> None:
    names = in_sdist(built[1])
    for name in (
        ".pre-commit-hooks.yaml", ".github/actions/check/action.yml", ".ci/run", "pyproject.toml",
        "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "PKG-INFO",
        "src/bridgewire/py.typed", "src/bridgewire/version.py", "profiles/harrowmere.toml",
        "docs/index.md", "examples/regatta-night/show.toml", "tests/conftest.py",
    ):  # fmt: skip
        assert name in names
    tops = {n.partition("/")[0] for n in names}
    assert tops == {
        ".ci", ".github", ".gitignore", ".pre-commit-hooks.yaml", "CHANGELOG.md", "DEVELOPERS.md",
        "LICENSE", "PKG-INFO", "README.md", "docs", "examples", "profiles", "pyproject.toml",
        "src", "tests",
    }  # fmt: skip
    assert names.isdisjoint(JUNK)
    assert not any("junk" in n or "node_modules" in n or n.endswith(".pyc") for n in names)


def test_the_version_is_that_of_the_module_alone(
    tree: Path, built: tuple[Path, Path], tmp_path: Path
) -> None:
    assert built[0].name == f"bridgewire-{__version__}-py3-none-any.whl"
    other = copy_of_tree(tmp_path / "tree", tree)
    module = other / "src" / "bridgewire" / "version.py"
    text = module.read_text(encoding="utf-8")
    assert text.count(f'"{__version__}"') == 1
    module.write_text(text.replace(__version__, "7.8.9"), encoding="utf-8")
    wheel = build(other, "wheel", tmp_path / "dist")
    with zipfile.ZipFile(wheel) as archive:
        told = archive.read("bridgewire-7.8.9.dist-info/METADATA").decode("utf-8")
    assert "\nVersion: 7.8.9\n" in told
    assert "\nClassifier: Typing :: Typed\n" in told


@pytest.mark.slow
def test_builds_in_other_folders_at_other_times_are_the_same(
    tree: Path, built: tuple[Path, Path], tmp_path: Path
) -> None:
    other = copy_of_tree(tmp_path / "another" / "place", tree)
    for number, file in enumerate(sorted(other.rglob("*"))):
        os.utime(file, (time.time() - number, time.time() - number))
        if file.is_file() and not os.access(file, os.X_OK):
            file.chmod(0o600)
    for first, kind in zip(built, ("wheel", "sdist"), strict=True):
        second = build(other, kind, tmp_path / "dist")
        assert second.name == first.name
        assert second.read_bytes() == first.read_bytes()


@pytest.mark.slow
def test_the_wheel_of_the_source_archive_is_the_same(
    built: tuple[Path, Path], tmp_path: Path
) -> None:
    with tarfile.open(built[1]) as archive:
        archive.extractall(tmp_path, filter="data")
    again = build(tmp_path / f"bridgewire-{__version__}", "wheel", tmp_path / "dist")
    assert again.read_bytes() == built[0].read_bytes()
