from __future__ import annotations

import json
from typing import Any

import jsonschema
import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding, Location, Severity
from bridgewire.report.code_quality import code_quality_text
from bridgewire.report.run import CheckedRun, Unusable
from tests.report.ci_formats.kept import assert_kept
from tests.report.ci_formats.runs import (
    ROOT,
    RUNS,
    TROUBLES,
    short_run,
    troubles,
    unusable,
    whole_run,
)

# GitLab documentation, Code Quality report format, from memory: every key below is required, the
# path is relative and does not begin with "./".
SCHEMA = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["description", "check_name", "fingerprint", "severity", "location"],
        "properties": {
            "description": {"type": "string", "minLength": 1},
            "check_name": {"type": "string", "minLength": 1},
            "fingerprint": {"type": "string", "pattern": "^[0-9a-f]{32}$"},
            "severity": {"enum": ["info", "minor", "major", "critical", "blocker"]},
            "location": {
                "type": "object",
                "required": ["path", "lines"],
                "properties": {
                    "path": {"type": "string", "minLength": 1, "not": {"pattern": "^\\./"}},
                    "lines": {
                        "type": "object",
                        "required": ["begin"],
                        "properties": {"begin": {"type": "integer", "minimum": 1}},
                    },
                },
            },
        },
    },
}


def violations(run: CheckedRun) -> list[dict[str, Any]]:
    text = code_quality_text(run)
    data: list[dict[str, Any]] = json.loads(text)
    jsonschema.Draft202012Validator(SCHEMA).validate(data)
    text.encode("utf-8", "backslashreplace")
    marks = [v["fingerprint"] for v in data]
    assert len(marks) == len(set(marks))
    return data


@pytest.mark.parametrize("name", list(RUNS))
def test_every_run_is_as_documented_with_unique_fingerprints(name: str) -> None:
    run = RUNS[name]()
    assert all(not v["location"]["path"].startswith(str(ROOT)) for v in violations(run))


def test_kept() -> None:
    assert_kept("short.code-quality.json", code_quality_text(short_run()))


def test_severities() -> None:
    words = {Severity.ERROR: "critical", Severity.WARNING: "major", Severity.INFO: "info"}
    found = violations(CheckedRun((troubles(),), root=ROOT))
    assert [v["severity"] for v in found] == [words[f.severity] for f in troubles().findings]
    assert {v["severity"] for v in violations(RUNS["unusable"]())} == {"blocker"}


def test_ignored_findings_are_left_out() -> None:
    assert "WIR008" not in {v["check_name"] for v in violations(short_run())}


def test_places() -> None:
    found = violations(CheckedRun((troubles(),), root=ROOT))
    (short,) = (v for v in found if v["check_name"] == "WIR009")
    assert short["location"] == {"path": TROUBLES, "lines": {"begin": 74}}
    outside = Finding("KIT001", "no data", location=Location("/etc/kit.toml", 7, 2, "", 1))
    (shown,) = violations(CheckedRun((evolve(troubles(), findings=(outside,)),), root=ROOT))
    assert shown["location"] == {"path": TROUBLES, "lines": {"begin": 1}}
    assert shown["description"].startswith("KIT001: /etc/kit.toml:7:2: ")


def test_two_shows_alike_have_fingerprints_of_their_own() -> None:
    copy = evolve(troubles(), file="examples/copy.toml")
    found = violations(CheckedRun((troubles(), copy), root=ROOT))
    places = [f.document for f in troubles().findings]
    assert len(found) == 2 * places.count("show") + len(places) - places.count("show")
    both = (unusable(), Unusable("examples/other.toml", unusable().findings))
    assert len(violations(CheckedRun((), both, root=ROOT))) == 2 * len(unusable().findings)


def test_whole_run_counts() -> None:
    run = whole_run()
    assert len(violations(run)) == sum(len(r.findings) for r in run.reports) + len(
        unusable().findings
    )
