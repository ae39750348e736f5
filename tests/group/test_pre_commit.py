"""pre-commit itself runs the hooks, in a repository of a group, from a clone of this project."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
import yaml

from tests.group.tools import ROOT, copy_of_group, copy_of_project, replaced, tool_or_skip

WHO = {
    "GIT_AUTHOR_NAME": "Test",
    "GIT_AUTHOR_EMAIL": "test@example.org",
    "GIT_COMMITTER_NAME": "Test",
    "GIT_COMMITTER_EMAIL": "test@example.org",
    "GIT_CONFIG_GLOBAL": "/dev/null",
    "GIT_CONFIG_NOSYSTEM": "1",
    "GIT_TERMINAL_PROMPT": "0",
}


def git(folder: Path, *arguments: str) -> str:
    done = subprocess.run(
        ["git", *arguments],
        cwd=folder,
        env={**os.environ, **WHO},
        capture_output=True,
        encoding="utf-8",
        check=True,
        timeout=60,
    )
    return done.stdout.strip()


def committed(folder: Path) -> str:
    """Make a repository of a folder with one commit; the commit's name."""
    git(folder, "init", "-q", "-b", "main")
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "all")
    return git(folder, "rev-parse", "HEAD")


@pytest.mark.oracle
@pytest.mark.slow
def test_hooks_run_where_they_have_to(tmp_path: Path) -> None:
    program = tool_or_skip("pre-commit")
    project = copy_of_project(tmp_path)
    revision = committed(project)
    group = copy_of_group(tmp_path)
    file = group / ".pre-commit-config.yaml"
    config = yaml.safe_load(file.read_text(encoding="utf-8"))
    (repo,) = config["repos"]
    repo["repo"], repo["rev"] = str(project), revision
    repo["hooks"][0]["args"] += ["--today", "2026-12-01"]
    file.write_text(yaml.safe_dump(config), encoding="utf-8")
    committed(group)

    def hooks(*arguments: str) -> tuple[int, str]:
        git(group, "add", "-A")
        done = subprocess.run(
            [program, "run", "--color", "never", *arguments],
            cwd=group,
            env={**os.environ, **WHO, "PRE_COMMIT_HOME": str(tmp_path / "home")},
            capture_output=True,
            encoding="utf-8",
            check=False,
            timeout=300,
        )
        return done.returncode, done.stdout + done.stderr

    code, said = hooks("--all-files")
    assert code == 0, said
    assert said.count("Passed") == 2

    (group / "README.md").write_text("changed\n", encoding="utf-8")
    code, said = hooks()
    assert code == 0, said
    assert said.count("(no files to check)") == 2

    # A kit profile decides about shows that did not change.
    kit = group / "kits" / "boathouse-store.toml"
    replaced(
        kit,
        "ohm_per_m = { min = 0.083, typical = 0.0855, max = 0.088 }",
        "ohm_per_m = { min = 0.16, typical = 0.17, max = 0.18 }",
    )
    code, said = hooks()
    assert code == 1, said
    assert "regatta-rehearsal.toml" in said
    git(group, "checkout", "-q", "HEAD", "--", "kits")

    replaced(group / "shows" / "midwinter.toml", "pulse_s = 2.0", "pulse_s = 0.2")
    code, said = hooks()
    assert code == 1, said
    assert "FIR002" in said


def test_the_hooks_file_states_what_pre_commit_needs() -> None:
    hooks = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert [h["id"] for h in hooks] == ["bridgewire-check", "bridgewire-kits"]
    assert all(h["language"] == "python" for h in hooks)


@pytest.mark.oracle
def test_pre_commit_accepts_the_hooks_file() -> None:
    program = tool_or_skip("pre-commit")
    done = subprocess.run(
        [program, "validate-manifest", str(ROOT / ".pre-commit-hooks.yaml")],
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=60,
    )
    assert done.returncode == 0, done.stdout + done.stderr
