"""bridgewire as it is installed: its command, its data files and its metadata."""

from __future__ import annotations

import json
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import jsonschema
import pytest

import bridgewire
from tests.cli.running import environment
from tests.packaging.project import ROOT, project

COMMAND = Path(sys.executable).parent / "bridgewire"
PACKAGE = Path(bridgewire.__file__).parent
KINDS = sorted(f.stem.rpartition("-")[0] for f in (PACKAGE / "schemas").glob("*.json"))


def run(*words: str, cwd: Path) -> str:
    """What the installed command prints, run elsewhere."""
    done = subprocess.run(
        [str(COMMAND), *words],
        capture_output=True,
        encoding="utf-8",
        cwd=cwd,
        env=environment(),
        check=False,
        timeout=120,
    )
    assert done.returncode in (0, 1), done.stderr
    assert done.stderr == ""
    return done.stdout


def test_the_command_says_the_installed_version(tmp_path: Path) -> None:
    told = run("--version", cwd=tmp_path)
    assert told.split()[-1] == bridgewire.__version__ == metadata.version("bridgewire")


def test_type_checkers_may_use_the_annotations() -> None:
    assert (PACKAGE / "py.typed").is_file()


def test_the_plugin_for_pytest_is_found_by_its_entry_point() -> None:
    (point,) = metadata.entry_points(group="pytest11", name="bridgewire")
    assert point.load().__name__ == "bridgewire.testing.pytest_plugin"


def test_the_metadata_states_what_pyproject_states() -> None:
    about = metadata.metadata("bridgewire")
    told = project()
    stale = "installed before pyproject.toml changed: pip install --no-deps -e ."
    assert about["Requires-Python"] == told["requires-python"], stale
    assert set(about.get_all("Classifier") or ()) == set(told["classifiers"]), stale
    extras = {name.lower() for name in about.get_all("Provides-Extra") or ()}
    assert extras == set(told["optional-dependencies"]), stale
    wanted = metadata.requires("bridgewire") or []
    base = {r.replace(" ", "").lower() for r in wanted if "extra ==" not in r}
    assert base == {r.replace(" ", "").lower() for r in told["dependencies"]}, stale


def test_some_python_of_each_classifier_may_install_it() -> None:
    minors = [int(c.rpartition(".")[2]) for c in project()["classifiers"] if ":: Python :: 3." in c]
    lowest = int(project()["requires-python"].removeprefix(">=3."))
    assert minors == list(range(lowest, max(minors) + 1))
    assert sys.version_info.minor in minors


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_of_every_kind_comes_along(kind: str, tmp_path: Path) -> None:
    schema = json.loads(run("schema", kind, cwd=tmp_path))
    jsonschema.Draft202012Validator.check_schema(schema)


def test_the_shipped_profiles_are_found(tmp_path: Path) -> None:
    assert KINDS
    listed = run("kits", "list", cwd=tmp_path)
    for kit in ("generic", "harrowmere"):
        assert kit in listed


def test_the_full_size_show_is_checked(tmp_path: Path) -> None:
    show = str(ROOT / "examples" / "regatta-night" / "show.toml")
    report = json.loads(run("check", show, "--format", "json", cwd=tmp_path))
    schema = json.loads((PACKAGE / "schemas" / "report-1.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(report)
    (checked,) = report["shows"]
    assert len(checked["cues"]) == 624


def test_the_page_finds_its_templates_style_and_script(tmp_path: Path) -> None:
    show = str(ROOT / "examples" / "midwinter-small.toml")
    page = run("check", show, "--format", "html", cwd=tmp_path)
    for name in ("style.css", "script.js"):
        kept = (PACKAGE / "report" / "html" / name).read_text(encoding="utf-8").strip()
        assert kept.splitlines()[0] in page
