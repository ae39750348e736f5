"""Dependencies: each is used, each extra is named by its purpose, and what is missing is said."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import defaultdict
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

import bridgewire
from tests.cli.running import environment
from tests.packaging.project import MINIMUM, ROOT, distribution, extra, minimum_text, project

PACKAGE = Path(bridgewire.__file__).parent
NOT_IMPORTED = {
    "ipykernel": "runs notebooks",
    "nbclient": "runs notebooks",
}
TOOLS = {"test", "dev", "docs", "fuzz", "oracles"}
"""Extras for people who work on bridgewire."""


def third_party() -> dict[str, set[str]]:
    """Package (as the index writes it) -> files of ours that import it, anywhere in them."""
    homes = packages_distributions()
    found: dict[str, set[str]] = defaultdict(set)
    for file in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.level == 0:
                names = [node.module or ""]
            for name in names:
                top = name.partition(".")[0]
                if top == "bridgewire" or top in sys.stdlib_module_names:
                    continue
                for home in homes.get(top, [top]):
                    found[distribution(home)].add(str(file.relative_to(PACKAGE)))
    return found


def test_every_dependency_is_imported_and_every_import_declared() -> None:
    told = project()
    needed = {distribution(r) for r in told["dependencies"]}
    optional = {distribution(r) for r in extra("all")}
    imported = set(third_party())
    assert needed <= imported, needed - imported
    assert optional - set(NOT_IMPORTED) <= imported
    brought = {"markupsafe"}  # by jinja2
    undeclared = imported - needed - optional - brought - {"pytest"}
    assert undeclared == set()
    assert all(file.startswith("testing/") for file in third_party()["pytest"])


def test_every_extra_for_users_is_in_all() -> None:
    told = project()["optional-dependencies"]
    (whole,) = told["all"]
    named = set(whole.partition("[")[2].rstrip("]").split(","))
    assert named == set(told) - TOOLS - {"all"}


def test_extras_are_not_needed_by_what_every_check_needs() -> None:
    told = project()
    needed = {distribution(r) for r in told["dependencies"]}
    for name, requirements in told["optional-dependencies"].items():
        if name not in TOOLS | {"all"}:
            assert needed.isdisjoint(distribution(r) for r in requirements), name


def test_the_lowest_versions_are_written_down() -> None:
    assert MINIMUM.read_text(encoding="utf-8") == minimum_text(), (
        "run: python -m tests.packaging.project"
    )


SMALL = str(ROOT / "examples" / "midwinter-small.toml")
SHEETS = ["sheets", SMALL, "--folder", "out", "--sheet"]
MISSING = [
    ("scipy", "sheets", [*SHEETS, "cut-list", "--format", "html"]),
    ("segno", "sheets", [*SHEETS, "labels", "--format", "html"]),
    ("weasyprint", "sheets", [*SHEETS, "meter"]),
    ("scipy", "bench", ["bench", "sensitivity", str(ROOT / "examples/go-no-go/lantern-match.csv")]),
    ("scipy", "bench", ["bench", "fit", str(ROOT / "examples/bench-evening/record.toml")]),
    ("ortools", "plan", ["plan", str(ROOT / "examples/regatta-plan/site.toml")]),
    ("resvg_py", "png", ["trace", SMALL, "lances", "--plot", "lances.png"]),
]  # fmt: skip


@pytest.mark.parametrize(("module", "name", "words"), MISSING, ids=lambda v: str(v)[:12])
def test_a_command_says_which_extra_is_missing(
    module: str, name: str, words: list[str], tmp_path: Path
) -> None:
    script = (
        f"import sys; sys.modules[{module!r}] = None\n"
        f"from bridgewire.cli.main import run\nsys.exit(run({words!r}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        encoding="utf-8",
        cwd=tmp_path,
        env=environment(),
        check=False,
        timeout=120,
    )
    assert f"pip install 'bridgewire[{name}]'" in " ".join(done.stderr.split()), done.stderr
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) in ([], [tmp_path / "out"])


@pytest.mark.parametrize("module", ["scipy", "jsonschema", "tomlkit", "segno", "pyarrow"])
def test_a_check_needs_no_extra(module: str, tmp_path: Path) -> None:
    script = (
        f"import sys; sys.modules[{module!r}] = None\n"
        f"from bridgewire.cli.main import run\nsys.exit(run(['check', {SMALL!r}, "
        "'--write', 'html=x.html', '--write', 'json=x.json']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        encoding="utf-8",
        cwd=tmp_path,
        env=environment(),
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
