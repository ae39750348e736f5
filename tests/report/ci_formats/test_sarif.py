from __future__ import annotations

import hashlib
import json
import re
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import jsonschema
import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding, Location, Severity
from bridgewire.report.run import CheckedRun
from bridgewire.report.sarif import artifact, sarif_text
from bridgewire.rules.base import Rule
from bridgewire.rules.engine import Ignored
from bridgewire.rules.registry import LoadedRule
from tests.agreements import Agreement
from tests.report.ci_formats.kept import assert_kept
from tests.report.ci_formats.runs import (
    HOSTILE,
    PUBLISHED,
    ROOT,
    RUNS,
    TROUBLES,
    UNUSABLE,
    short_run,
    troubles,
    unusable,
    whole_run,
)

SCHEMA_FILE = PUBLISHED / "sarif-2.1.0.json"


@cache
def validator() -> jsonschema.Draft202012Validator:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    return jsonschema.Draft202012Validator(schema, format_checker=checker)


def log(run: CheckedRun) -> Any:
    """The only run of a log that fits the published schema and can be written as UTF-8."""
    text = sarif_text(run)
    text.encode("utf-8", "backslashreplace")
    data = json.loads(text, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    validator().validate(data)
    (only,) = data["runs"]
    return only


def test_the_published_schemas_are_unchanged() -> None:
    listed = (PUBLISHED / "README.md").read_text(encoding="utf-8")
    for file in (SCHEMA_FILE, PUBLISHED / "junit-10.xsd"):
        assert hashlib.sha256(file.read_bytes()).hexdigest() in listed


SCHEMA = Agreement(
    "sarif-schema",
    oracle="the OASIS schema of SARIF 2.1.0, by jsonschema",
    what="SARIF reports of every sort of run",
    limit=0.0,
    unit="yes or no",
    package="jsonschema",
)


@pytest.mark.oracle
@pytest.mark.parametrize("name", list(RUNS))
def test_every_run_fits_the_published_schema(name: str) -> None:
    log(RUNS[name]())
    SCHEMA.agrees()


@pytest.mark.oracle
def test_the_published_schema_refuses_what_is_wrong() -> None:
    data = json.loads(sarif_text(short_run()))
    data["runs"][0]["results"][0]["level"] = "dreadful"
    with pytest.raises(jsonschema.ValidationError):
        validator().validate(data)


def test_kept() -> None:
    data = json.loads(sarif_text(short_run()))
    for rule in data["runs"][0]["tool"]["driver"]["rules"]:
        rule["help"] = {
            key: f"{len(text.splitlines())} lines" for key, text in rule["help"].items()
        }
    for item in data["runs"][0]["artifacts"]:
        item.pop("hashes", None)
    assert_kept("short.sarif", json.dumps(data, indent=1, ensure_ascii=False) + "\n")


def test_regions_are_the_text_of_the_file() -> None:
    """Line and columns count characters of the file from 1; the end column is behind the place."""
    checked = 0
    for result in log(whole_run())["results"]:
        physical = result["locations"][0]["physicalLocation"]
        uri = physical["artifactLocation"]["uri"]
        file = Path(unquote(urlsplit(uri).path)) if ":" in uri else ROOT / unquote(uri)
        region = physical["region"]
        line = file.read_text(encoding="utf-8").split("\n")[region["startLine"] - 1]
        assert (
            line[region["startColumn"] - 1 : region["endColumn"] - 1] == region["snippet"]["text"]
        )
        if "contextRegion" in physical:
            assert physical["contextRegion"]["snippet"]["text"] == line
        checked += 1
    assert checked > 50


def test_every_finding_is_a_result_with_its_rule() -> None:
    run = log(whole_run())
    rules = run["tool"]["driver"]["rules"]
    first, second = whole_run().reports
    bad = unusable().findings
    assert len(run["results"]) == sum(
        map(len, (bad, first.findings, second.findings, second.ignored))
    )
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        assert len(result["partialFingerprints"]) == 1
    words = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.INFO: "note"}
    levels = [words[f.severity] for f in (*bad, *first.findings)]
    assert [r["level"] for r in run["results"]][: len(levels)] == levels


def test_rules_carry_their_page() -> None:
    rules = {r["id"]: r for r in log(whole_run())["tool"]["driver"]["rules"]}
    rule = rules["FIR001"]
    assert rule["name"] == "WillNotLight"
    assert rule["defaultConfiguration"] == {"level": "error"}
    assert rule["properties"]["family"] == "FIR"
    assert rule["shortDescription"]["text"].startswith("An igniter does not light")
    assert "## Do instead\n\nA longer pulse" in rule["help"]["markdown"]
    assert "##" not in rule["help"]["text"]
    assert "Model and limits" in rule["help"]["text"]
    assert all(len(r["properties"]["tags"]) <= 20 for r in rules.values())


def test_a_show_that_cannot_be_read_makes_the_run_unsuccessful() -> None:
    run = log(RUNS["unusable"]())
    (invocation,) = run["invocations"]
    assert invocation["executionSuccessful"] is False
    (said,) = invocation["toolExecutionNotifications"]
    assert "was not checked" in said["message"]["text"]
    assert said["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == UNUSABLE
    assert {r["ruleId"][:3] for r in run["results"]} == {"DOC"}
    assert all(r["level"] == "error" for r in run["results"])
    good = log(CheckedRun((troubles(),), (), "0", root=ROOT))
    assert good["invocations"] == [{"executionSuccessful": True}]


def test_ignored_findings_are_suppressed_and_all_others_say_that_they_are_not() -> None:
    """SARIF 2.1.0, 3.27.23: suppressions are null in all results of a run or in none (from
    memory)."""
    results = log(whole_run())["results"]
    hidden = [r["suppressions"] for r in results if r["suppressions"]]
    why = {"kind": "inSource", "status": "accepted", "justification": "known since spring"}
    assert hidden == [[why]]
    known = Ignored(troubles().findings[0], "known, in the baseline", baseline=True)
    report = evolve(troubles(), findings=troubles().findings[1:], ignored=(known,))
    (apart,) = (
        r["suppressions"]
        for r in log(CheckedRun((report,), root=ROOT))["results"]
        if r["suppressions"]
    )
    assert apart[0]["kind"] == "external"
    plain = log(CheckedRun((troubles(),), (), "0", root=ROOT))["results"]
    assert not any("suppressions" in r for r in plain)


def test_measured_values_and_places_in_the_document() -> None:
    results = log(CheckedRun((troubles(),), (), "0", root=ROOT))["results"]
    (short,) = (r for r in results if r["ruleId"] == "WIR009")
    assert short["properties"] == {
        "measured": 20.0,
        "limit": 24.0,
        "unit": "m",
        "subjects": ["jetty-3"],
    }
    (place,) = short["locations"][0]["logicalLocations"]
    assert place == {"fullyQualifiedName": "run[2].length_m", "kind": "property"}
    (kit,) = (r for r in results if r["ruleId"] == "KIT008")
    (place,) = kit["locations"][0]["logicalLocations"]
    assert place["fullyQualifiedName"].startswith("kit:generic.igniter_class[")
    assert place["kind"] == "object"


def test_numbers_that_json_cannot_hold_are_left_out() -> None:
    findings = tuple(
        evolve(f, measured=float("inf"), limit=float("nan")) for f in troubles().findings
    )
    run = log(CheckedRun((evolve(troubles(), findings=findings),), root=ROOT))
    assert not any("measured" in r["properties"] for r in run["results"])


@pytest.mark.parametrize(
    ("file", "expected"),
    [
        ("a b/ü.toml", {"uri": "a%20b/%C3%BC.toml", "uriBaseId": "%SRCROOT%"}),
        ("./x/../a.toml", {"uri": "a.toml", "uriBaseId": "%SRCROOT%"}),
        ("/srv/a.toml", {"uri": "a.toml", "uriBaseId": "%SRCROOT%"}),
        ("c:x.toml", {"uri": "c%3Ax.toml", "uriBaseId": "%SRCROOT%"}),
        ("100%#?.toml", {"uri": "100%25%23%3F.toml", "uriBaseId": "%SRCROOT%"}),
        ("bad \udcff.toml", {"uri": "bad%20%FF.toml", "uriBaseId": "%SRCROOT%"}),
        ("../b.toml", {"uri": "file:///b.toml"}),
        ("/srvother/a.toml", {"uri": "file:///srvother/a.toml"}),
    ],
)
def test_uris(file: str, expected: dict[str, str]) -> None:
    assert artifact(file, Path("/srv")) == expected


def test_files_are_listed_once_with_their_hash() -> None:
    artifacts = log(whole_run())["artifacts"]
    uris = [a["location"]["uri"] for a in artifacts]
    assert len(uris) == len(set(uris))
    (show,) = (a for a in artifacts if a["location"]["uri"] == TROUBLES)
    assert show["roles"] == ["analysisTarget"]
    digest = hashlib.sha256((ROOT / TROUBLES).read_bytes()).hexdigest()
    assert show["hashes"] == {"sha-256": digest}


def test_hostile_texts_stay_text() -> None:
    results = log(RUNS["hostile"]())["results"]
    assert len(results) == 3 * len(HOSTILE)
    for result in results:
        text = result["message"]["text"]
        assert text.isprintable()
        assert "{" not in text.replace("{{", "")
        assert not re.search(r"(?<!\\)\[[^\]]*\]\(", text)


def test_rules_of_plugins_are_described() -> None:
    rule = LoadedRule(
        Rule("XAB001", "too-near-the-water", Severity.WARNING),
        None,
        "A box stands too near the water.\n\nWhat it checks\n--------------\nCoordinates.",
        "plugin 'lakeside' (lakeside-rules 1.2)",
    )
    findings = (
        Finding("XAB001", "too near", location=Location(TROUBLES, 1, 1, "#", 1)),
        Finding("XZZ001", "of a plugin that is gone"),
    )
    report = evolve(troubles(), findings=findings)
    known, gone = log(CheckedRun((report,), root=ROOT, rules=(rule,)))["tool"]["driver"]["rules"]
    assert known["name"] == "TooNearTheWater"
    assert known["help"]["text"] == "What it checks\n\nCoordinates."
    assert known["properties"]["origin"] == "plugin 'lakeside' (lakeside-rules 1.2)"
    assert gone == {"id": "XZZ001"}
