from __future__ import annotations

import re
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding, Location, Severity
from bridgewire.report.annotations import SHOWN, annotations_text
from bridgewire.report.plain_text import visible
from bridgewire.report.run import CheckedRun
from tests.report.ci_formats.kept import assert_kept
from tests.report.ci_formats.runs import (
    HOSTILE,
    ROOT,
    RUNS,
    TROUBLES,
    short_run,
    troubles,
    unusable,
    whole_run,
)

COMMAND = re.compile(r"::(error|warning|notice) ([^:\r\n]*)::([^\r\n]*)")


def unescaped(text: str, *, of_property: bool) -> str:
    """What the service makes of an escaped text, after its published toolkit (from memory)."""
    pairs = [("%0D", "\r"), ("%0A", "\n"), ("%25", "%")]
    if of_property:
        pairs = [("%0D", "\r"), ("%0A", "\n"), ("%3A", ":"), ("%2C", ","), ("%25", "%")]
    for written, meant in pairs:
        text = text.replace(written, meant)
    return text


def commands(run: CheckedRun) -> list[tuple[str, dict[str, str], str]]:
    """Every line read as a command; a line that is none fails the test."""
    found = []
    for line in re.split(r"\r\n|\r|\n", annotations_text(run).removesuffix("\n")):
        match = COMMAND.fullmatch(line)
        assert match, line
        properties = dict(item.split("=", 1) for item in match[2].split(","))
        decoded = {k: unescaped(v, of_property=True) for k, v in properties.items()}
        found.append((match[1], decoded, unescaped(match[3], of_property=False)))
    return found


def run_of(*findings: Finding, root: Path = ROOT) -> CheckedRun:
    return CheckedRun((evolve(troubles(), findings=findings),), root=root)


def test_kept() -> None:
    assert_kept("short.annotations.txt", annotations_text(short_run()))


def test_nothing_found_is_nothing_written() -> None:
    assert annotations_text(run_of()) == ""


def test_a_finding_with_its_place() -> None:
    finding = Finding(
        "TIM001",
        "cue 'comet' needs 50 %, or more",
        path=("cue", 2),
        subjects=("comet",),
        remedy="set pulse_s",
        location=Location(TROUBLES, 178, 11, "pulse_s = 0.07", 4),
    )
    assert annotations_text(run_of(finding)) == (
        f"::error file={TROUBLES},line=178,col=11,endColumn=14,title=TIM001 comet::"
        "cue 'comet' needs 50 %25, or more. Do: set pulse_s.\n"
    )


def test_what_stands_outside_the_folder_is_shown_at_the_top_of_the_show() -> None:
    finding = Finding("KIT001", "no data", location=Location("/etc/kit.toml", 7, 2, "", 1))
    ((_, properties, message),) = commands(run_of(finding))
    assert properties == {"file": TROUBLES, "line": "1", "title": "KIT001"}
    assert message == "/etc/kit.toml:7:2: no data."


@pytest.mark.parametrize(("number", "lines"), [(SHOWN - 1, 9), (SHOWN, 10), (SHOWN + 1, 10)])
def test_the_tenth_of_a_level_counts_what_would_not_be_shown(number: int, lines: int) -> None:
    findings = [Finding("WIR001", f"n{n}", Severity.WARNING) for n in range(number)]
    found = commands(run_of(*findings))
    assert len(found) == lines
    if number > SHOWN:
        assert found[-1] == (
            "warning",
            {"title": "2 further warnings in this run"},
            "2 WIR001. The report has them all.",
        )
    else:
        assert found[-1][2] == f"n{number - 1}."


def test_errors_come_first_and_every_problem_of_an_unusable_show_is_one() -> None:
    levels = [level for level, _, _ in commands(whole_run())]
    assert levels == sorted(levels, key=("error", "warning", "notice").index)
    found = commands(RUNS["unusable"]())
    assert len(found) == len(unusable().findings)
    assert all("Nothing of this show was checked." in message for _, _, message in found)


def test_ignored_findings_are_left_out() -> None:
    assert not any("store" in message for _, _, message in commands(short_run()))
    assert any(i.finding.code == "WIR008" for i in short_run().reports[0].ignored)


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_no_name_is_a_command(name: str) -> None:
    finding = Finding(
        "WIR001",
        name,
        subjects=(name,),
        remedy=name,
        location=Location(f"{name}.toml", 1, 2, "", 3),
    )
    ((level, properties, message),) = commands(run_of(finding))
    assert level == "error"
    assert list(properties) == ["file", "line", "col", "endColumn", "title"]
    assert properties["title"] == f"WIR001 {visible(name)}"
    assert message.startswith(visible(name).strip())
    if "/" not in name:
        assert properties["file"] == visible(f"{name}.toml")


def test_a_hostile_run_has_only_our_commands() -> None:
    assert len(commands(RUNS["hostile"]())) <= 3 * SHOWN
