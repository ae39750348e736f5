"""CI files fit the schemas that the services publish, and the composite action does its work.

The schemas come with check-jsonschema (``vendor.github-workflows``, ``vendor.github-actions``,
``vendor.gitlab-ci``); nothing is fetched.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.agreements import Agreement
from tests.group.tools import (
    DAY,
    EXPRESSION,
    GROUP,
    ROOT,
    copy_of_group,
    copy_of_project,
    document,
    replaced,
    run_steps,
    shell,
    tool_or_skip,
)

ACTION = ROOT / ".github" / "actions" / "check" / "action.yml"
SNIPPET = ROOT / "docs" / "snippets" / "gitlab-ci.yml"
FILES = {
    ACTION: "vendor.github-actions",
    GROUP / ".github" / "workflows" / "shows.yml": "vendor.github-workflows",
    GROUP / ".gitlab-ci.yml": "vendor.gitlab-ci",
    SNIPPET: "vendor.gitlab-ci",
}
STEPS = document(ACTION)["runs"]["steps"]
SCHEMAS = Agreement(
    "ci-file-schemas",
    oracle="the services' published schemas, as check-jsonschema brings them",
    what="our action, the job to copy, and the files of the example of a group's repository",
    limit=0.0,
    unit="yes or no",
    package="check-jsonschema",
)


def fits(file: Path, schema: str) -> subprocess.CompletedProcess[str]:
    program = tool_or_skip("check-jsonschema")
    return subprocess.run(
        [program, "--builtin-schema", schema, str(file)],
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=60,
    )


@pytest.mark.oracle
@pytest.mark.parametrize("file", FILES, ids=lambda f: f.name)
def test_it_fits_the_published_schema(file: Path) -> None:
    done = fits(file, FILES[file])
    assert done.returncode == 0, done.stdout
    SCHEMAS.agrees()


@pytest.mark.oracle
@pytest.mark.parametrize("file", FILES, ids=lambda f: f.name)
def test_the_published_schema_refuses_what_is_wrong(file: Path, tmp_path: Path) -> None:
    key = {"vendor.github-actions": "runs:", "vendor.github-workflows": "jobs:"}
    old = key.get(FILES[file], "  script:")
    bad = tmp_path / file.name
    bad.write_text(file.read_text(encoding="utf-8").replace(old, f"{old[:-1]}x:"), encoding="utf-8")
    assert fits(bad, FILES[file]).returncode == 1


def test_nothing_that_a_caller_states_is_part_of_a_command() -> None:
    for script in run_steps(STEPS).values():
        assert not EXPRESSION.search(script)
    inputs = document(ACTION)["inputs"]
    given = {
        EXPRESSION.fullmatch(v)[1].removeprefix("inputs.")  # type: ignore[index]
        for s in STEPS
        for v in s["env"].values()
    }
    assert given == set(inputs)


def test_the_snippet_runs_as_it_stands(tmp_path: Path) -> None:
    group = copy_of_group(tmp_path)
    _with_venv(group / ".venv")
    made, check = document(SNIPPET)["check-shows"]["script"]
    done = shell(f"{made}\n{check} --today {DAY}", group, {}, "sh")
    assert done.returncode == 0, done.stdout + done.stderr
    reports = document(SNIPPET)["check-shows"]["artifacts"]["reports"]
    for file in reports.values():
        assert (group / file).stat().st_size > 2


def _with_venv(folder: Path) -> None:
    """What a virtual environment is to the steps: a folder with the command in ``bin``."""
    (folder / "bin").mkdir(parents=True)
    command = folder / "bin" / "bridgewire"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m bridgewire.cli "$@"\n')
    command.chmod(0o755)


@pytest.fixture
def runner(tmp_path: Path) -> dict[str, str]:
    """What the service hands to a composite action: its folders and files."""
    (tmp_path / "temp").mkdir()
    given = document(ACTION)["inputs"]
    env = {
        "RUNNER_TEMP": str(tmp_path / "temp"),
        "GITHUB_ACTION_PATH": str(ACTION.parent),
        "GITHUB_STEP_SUMMARY": str(tmp_path / "summary.md"),
        "GITHUB_OUTPUT": str(tmp_path / "output.txt"),
    }
    defaults = {k.upper().replace("-", "_"): str(v["default"]) for k, v in given.items()}
    return {**defaults, **env}


CHECK = run_steps(STEPS)["Check the shows"]


def act(group: Path, runner: dict[str, str], **inputs: str) -> tuple[int, str, dict[str, str], str]:
    """Run the action's check: exit code, what it said, its outputs, its summary."""
    Path(runner["GITHUB_OUTPUT"]).write_text("", encoding="utf-8")
    Path(runner["GITHUB_STEP_SUMMARY"]).write_text("", encoding="utf-8")
    done = shell(CHECK, group, {**runner, **inputs})
    lines = Path(runner["GITHUB_OUTPUT"]).read_text(encoding="utf-8").splitlines()
    summary = Path(runner["GITHUB_STEP_SUMMARY"]).read_text(encoding="utf-8")
    return done.returncode, done.stdout + done.stderr, dict(x.split("=", 1) for x in lines), summary


def test_the_action_checks_annotates_and_sums_up(tmp_path: Path, runner: dict[str, str]) -> None:
    group = copy_of_group(tmp_path)
    _with_venv(tmp_path / "temp" / "bridgewire")
    inputs = {"KIT_DIRS": "kits", "FAIL_ON": "warning", "TODAY": DAY}
    code, said, outputs, summary = act(group, runner, BASELINE="baseline.toml", **inputs)
    assert code == 0, said
    assert outputs == {"sarif": "bridgewire-out/check.sarif", "exit-code": "0"}
    assert json.loads((group / outputs["sarif"]).read_text(encoding="utf-8"))["version"] == "2.1.0"
    assert "Midwinter on the Mere" in summary
    assert summary.startswith("<pre>")

    code, said, outputs, _ = act(group, runner, **inputs)
    assert (code, outputs["exit-code"]) == (1, "1")
    assert "::warning file=shows/regatta-rehearsal.toml,line=" in said


def test_the_action_with_bad_and_hostile_shows(tmp_path: Path, runner: dict[str, str]) -> None:
    group = copy_of_group(tmp_path)
    _with_venv(tmp_path / "temp" / "bridgewire")
    inputs = {"KIT_DIRS": "kits\n", "BASELINE": "baseline.toml", "TODAY": DAY}
    show = group / "shows" / "midwinter.toml"
    replaced(show, 'title = "Midwinter on the Mere"', 'title = "</pre><b>&x\\n::error::x"')
    code, said, _, summary = act(group, runner, **inputs)
    assert code == 0, said
    assert summary.count("<") == 2
    assert "&lt;/pre>&lt;b>&amp;x" in summary
    assert not any(line.startswith("::error::x") for line in said.splitlines())

    replaced(show, "spread_s = 0.25", "spred_s = 0.25")
    code, said, outputs, _ = act(group, runner, **inputs)
    assert (code, outputs["exit-code"]) == (2, "2")
    assert "::error file=shows/midwinter.toml," in said

    # Names that look like options or commands are names.
    code, said, outputs, summary = act(group, runner, SHOWS="--output\n$(touch caught)", TODAY="")
    assert outputs["exit-code"] == "2"
    assert not (group / "caught").exists()


@pytest.mark.oracle
@pytest.mark.slow
def test_the_action_installs_itself(tmp_path: Path, runner: dict[str, str]) -> None:
    """With pip, from a copy of this project, then checks the group's shows."""
    project = copy_of_project(tmp_path)
    group = copy_of_group(tmp_path)
    env = {**runner, "GITHUB_ACTION_PATH": str(project / ".github" / "actions" / "check")}
    done = shell(run_steps(STEPS)["Install bridgewire"], group, env)
    assert done.returncode == 0, done.stdout + done.stderr
    assert (tmp_path / "temp" / "bridgewire" / "bin" / "bridgewire").exists()
    code, said, outputs, _ = act(
        group, env, KIT_DIRS="kits", BASELINE="baseline.toml", FAIL_ON="warning", TODAY=DAY
    )
    assert code == 0, said
    assert outputs["exit-code"] == "0"
