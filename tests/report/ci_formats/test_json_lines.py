from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from attrs import evolve

import bridgewire
from bridgewire.diagnostics import Severity
from bridgewire.report.json_lines import json_lines_text
from bridgewire.report.json_report import reports_json
from bridgewire.report.run import CheckedRun
from bridgewire.rules.engine import Ignored
from tests.report.ci_formats.kept import assert_kept
from tests.report.ci_formats.runs import ROOT, RUNS, short_run, troubles, unusable, whole_run

SCHEMAS = Path(bridgewire.__file__).parent / "schemas"
SCHEMA = json.loads((SCHEMAS / "report-lines-1.json").read_text(encoding="utf-8"))
REPORT = json.loads((SCHEMAS / "report-1.json").read_text(encoding="utf-8"))


def objects(run: CheckedRun) -> list[dict[str, Any]]:
    """Every line, each of which fits the schema."""
    text = json_lines_text(run)
    assert text.endswith("\n")
    lines = text.removesuffix("\n").split("\n")
    found = [
        json.loads(line, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
        for line in lines
    ]
    validator = jsonschema.Draft202012Validator(SCHEMA)
    for item in found:
        validator.validate(item)
    return found


def test_the_schema_is_a_schema_and_says_what_the_report_schema_says() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$id"] == "urn:bridgewire:schema:report-lines:1"
    for name, part in SCHEMA["$defs"].items():
        if name in REPORT["$defs"]:
            assert part == REPORT["$defs"][name], name
    lines = SCHEMA["$defs"]
    for line, whole in (("CueLine", "Cue"), ("FindingLine", "Problem")):
        for key, part in REPORT["$defs"][whole]["properties"].items():
            assert lines[line]["properties"][key] == part, (line, key)


def test_every_object_of_the_schema_is_closed() -> None:
    for name in (ref["$ref"].rsplit("/", 1)[1] for ref in SCHEMA["oneOf"]):
        part = SCHEMA["$defs"][name]
        assert part["additionalProperties"] is False
        assert sorted(part["required"]) == sorted(part["properties"])


@pytest.mark.parametrize("name", list(RUNS))
def test_every_line_fits_and_the_order_is_fixed(name: str) -> None:
    run = RUNS[name]()
    kinds = [item["kind"] for item in objects(run)]
    assert (kinds[0], kinds[-1]) == ("run", "summary")
    assert Counter(kinds) == Counter(
        {
            "run": 1,
            "unusable": len(run.unusable),
            "show": len(run.reports),
            "cue": sum(len(r.cues) for r in run.reports),
            "finding": sum(len(u.findings) for u in run.unusable)
            + sum(len(r.findings) + len(r.ignored) for r in run.reports),
            "summary": 1,
        }
    )


def test_kept() -> None:
    assert_kept("short.jsonl", json_lines_text(short_run()))


def test_the_summary_counts() -> None:
    *_, summary = objects(whole_run())
    heard = [f.severity for r in whole_run().reports for f in r.findings]
    assert summary["shows"] == 2
    assert summary["unusable"] == 1
    assert summary["finding_counts"] == {s.word: heard.count(s) for s in Severity}
    assert summary["verdict_counts"]["no"] == sum(
        n for r in whole_run().reports for v, n in r.verdict_counts().items() if v.value == "no"
    )
    assert summary["fails"] is True


def test_fails_is_what_the_exit_code_says() -> None:
    def fails(run: CheckedRun) -> object:
        return objects(run)[-1]["fails"]

    notes = tuple(f for f in troubles().findings if f.severity is Severity.INFO)
    quiet = CheckedRun((evolve(troubles(), findings=notes),), root=ROOT)
    assert fails(quiet) is False
    assert fails(evolve(quiet, fail_on=Severity.WARNING)) is False
    assert fails(evolve(quiet, fail_on=Severity.INFO)) is True
    assert fails(evolve(quiet, unusable=(unusable(),))) is True


def test_ignored_and_unusable_are_told_apart() -> None:
    findings = [item for item in objects(short_run()) if item["kind"] == "finding"]
    assert {f["ignored"] for f in findings if f["code"] == "WIR008"} == {"agreed with the crew"}
    assert {f["ignored"] for f in findings if f["code"] != "WIR008"} == {None}
    assert not any(f["known"] for f in findings)
    known = Ignored(troubles().findings[0], "known, in the baseline", baseline=True)
    run = CheckedRun((evolve(troubles(), findings=(), ignored=(known,)),), root=ROOT)
    assert [f["known"] for f in objects(run) if f["kind"] == "finding"] == [True]
    assert [f["checked"] for f in findings].count(False) == len(unusable().findings)
    assert any(f["suggestion"] == "title" and not f["checked"] for f in findings)


def test_the_json_report_tells_of_unusable_shows_too() -> None:
    run = whole_run()
    data = json.loads(reports_json(run.reports, "0", (), run.unusable))
    jsonschema.Draft202012Validator(REPORT).validate(data)
    (bad,) = data["unusable"]
    assert bad["file"] == unusable().file
    assert [p["code"] for p in bad["problems"]] == [f.code for f in unusable().findings]
    assert all(p["location"] for p in bad["problems"])
