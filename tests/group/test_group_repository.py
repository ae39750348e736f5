"""The example repository of a group: green as it stands, red with the place when it breaks."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import yaml

from tests.group.tools import (
    DAY,
    EXPRESSION,
    GROUP,
    copy_of_group,
    document,
    replaced,
    run_steps,
    shell,
    with_command,
)

WORKFLOW = document(GROUP / ".github" / "workflows" / "shows.yml")
PIPELINE = document(GROUP / ".gitlab-ci.yml")
CHECK = run_steps(WORKFLOW["jobs"]["check"]["steps"])["Check"]


@pytest.fixture
def group(tmp_path: Path) -> Path:
    return copy_of_group(tmp_path)


def checked(group: Path, script: str = CHECK, program: str = "bash", **env: str) -> tuple[int, str]:
    """Run the command that the workflow runs, as on a day when the example is in force."""
    path = with_command(group.parent / "bin")
    done = shell(script, group, {"PATH": path, "TODAY": DAY, **env}, program)
    return done.returncode, done.stdout + done.stderr


def test_it_is_green_and_keeps_reports(group: Path) -> None:
    code, said = checked(group)
    assert code == 0, said
    assert "besides 1 known" in said
    assert "WIR002 (1, until 2027-03-31)" in said
    out = group / "out"
    sarif = json.loads((out / "check.sarif").read_text(encoding="utf-8"))
    states = [r.get("baselineState") for r in sarif["runs"][0]["results"]]
    assert "unchanged" in states
    suites = ET.parse(out / "check.xml").getroot()
    assert suites.get("failures") == "0"
    assert int(suites.get("tests", "0")) > 6
    # No finding is above a note.
    quality = json.loads((out / "code-quality.json").read_text(encoding="utf-8"))
    assert {q["severity"] for q in quality} == {"info"}


def test_both_services_run_the_same_command(group: Path) -> None:
    (script,) = PIPELINE["check-shows"]["script"]
    assert script == CHECK
    code, said = checked(group, script, "sh")
    assert code == 0, said


def test_a_broken_show_is_red_with_the_place(group: Path) -> None:
    replaced(group / "shows" / "midwinter.toml", "pulse_s = 2.0", "pulse_s = 0.2")
    code, said = checked(group, GITHUB_ACTIONS="true")
    assert code == 1
    lines = (group / "shows" / "midwinter.toml").read_text(encoding="utf-8").splitlines()
    line = lines.index("pulse_s = 0.2") + 1
    (warning,) = [a for a in said.splitlines() if "FIR002" in a]
    assert warning.startswith(f"::warning file=shows/midwinter.toml,line={line},")
    assert "'west lances' is marginal" in warning
    suites = ET.parse(group / "out" / "check.xml").getroot()
    assert int(suites.get("failures", "0")) >= 1


def test_a_slip_in_a_file_is_red(group: Path) -> None:
    replaced(group / "shows" / "midwinter.toml", "spread_s = 0.25", "spred_s = 0.25")
    code, said = checked(group)
    assert code == 2
    assert "spread_s" in said


def test_a_known_finding_that_gets_worse_is_red(group: Path) -> None:
    show = group / "shows" / "regatta-rehearsal.toml"
    replaced(
        show, "length_m = { typical = 15, tol = 0.5 }", "length_m = { typical = 20, tol = 0.5 }"
    )
    code, said = checked(group)
    assert code == 1
    assert "FIR006" in said


def test_a_mended_finding_has_to_leave_the_baseline(group: Path) -> None:
    show = group / "shows" / "regatta-rehearsal.toml"
    replaced(
        show, "length_m = { typical = 15, tol = 0.5 }", "length_m = { typical = 5, tol = 0.5 }"
    )
    code, said = checked(group)
    assert code == 1
    assert "would go: shows/regatta-rehearsal.toml FIR006" in said
    prune = f"bridgewire baseline prune shows --kit-dir kits --today {DAY}"
    assert checked(group, prune)[0] == 0
    baseline = (group / "baseline.toml").read_text(encoding="utf-8")
    assert tomllib.loads(baseline) == {"format": 1}
    assert checked(group)[0] == 0


def test_an_ignore_past_its_day_is_red(group: Path) -> None:
    assert checked(group, TODAY="2027-03-31")[0] == 0
    code, said = checked(group, TODAY="2027-04-01")
    assert code == 1
    assert "DOC025" in said
    assert "WIR002" in said


def test_a_kit_profile_with_a_gap_is_red(group: Path) -> None:
    kit = group / "kits" / "boathouse-store.toml"
    replaced(kit, 'extends = "shore-cable"\n', 'metal = "copper"\nconductors = 8\n')
    assert checked(group)[0] != 0


def test_the_baseline_is_what_would_be_written_today(group: Path) -> None:
    before = (group / "baseline.toml").read_text(encoding="utf-8")
    create = f"bridgewire baseline create shows --kit-dir kits --update --today {DAY}"
    code, said = checked(group, create)
    assert code == 0, said
    assert (group / "baseline.toml").read_text(encoding="utf-8") == before


def test_the_comment_on_a_pull_request(group: Path) -> None:
    """The step of the workflow, in a repository with a change that is not on its base."""
    who = {
        f"GIT_{role}_{key}": value
        for role in ("AUTHOR", "COMMITTER")
        for key, value in (("NAME", "Test"), ("EMAIL", "test@example.org"))
    }
    who |= {"GIT_CONFIG_GLOBAL": "/dev/null", "GIT_CONFIG_NOSYSTEM": "1"}
    origin = group.parent / "origin.git"
    setting_up = (
        f"git init -q -b main . && git add -A && git commit -q -m base && "
        f"git clone -q --bare . {origin} && git remote add origin {origin} && git fetch -q origin"
    )
    code, said = checked(group, setting_up, **who)
    assert code == 0, said
    replaced(group / "shows" / "midwinter.toml", "pulse_s = 2.0", "pulse_s = 0.2")
    summary = group.parent / "summary.md"
    compare = run_steps(WORKFLOW["jobs"]["changes"]["steps"])["Compare"]
    script = compare.replace(".venv/bin/bridgewire", "bridgewire")
    code, said = checked(group, script, BASE="main", GITHUB_STEP_SUMMARY=str(summary), **who)
    assert code == 0, said
    comment = (group / "out" / "changes.md").read_text(encoding="utf-8")
    assert summary.read_text(encoding="utf-8") == comment
    assert "### bridgewire: 1 verdict worse" in comment
    assert "<code>west lances</code> | **sure → marginal**" in comment


def test_no_step_lets_the_service_write_into_a_command() -> None:
    for job in WORKFLOW["jobs"].values():
        for script in run_steps(job["steps"]).values():
            assert not EXPRESSION.search(script)


def test_the_hooks_check_what_the_script_checks(group: Path) -> None:
    hooks = yaml.safe_load((GROUP / ".pre-commit-config.yaml").read_text(encoding="utf-8"))
    (repo,) = hooks["repos"]
    (check,) = [h for h in repo["hooks"] if h["id"] == "bridgewire-check"]
    code, said = checked(group, "bridgewire check " + " ".join(check["args"]) + f" --today {DAY}")
    assert code == 0, said
    line = next(
        line
        for line in (GROUP / "check.sh").read_text(encoding="utf-8").splitlines()
        if line.startswith("bridgewire check")
    )
    assert line.removesuffix("\\").split()[2:] == check["args"]
