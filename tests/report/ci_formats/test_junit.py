from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding, Severity
from bridgewire.report.junit import junit_text
from bridgewire.report.run import CheckedRun
from bridgewire.rules.base import FAMILIES
from bridgewire.rules.engine import Ignored
from tests.agreements import Agreement
from tests.oracles import oracle_or_skip
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


def only(run: CheckedRun) -> ET.Element:
    (suite,) = ET.fromstring(junit_text(run)).findall("testsuite")
    return suite


def cases(suite: ET.Element) -> dict[str, ET.Element]:
    return {c.attrib["name"]: c for c in suite.findall("testcase")}


def run_of(*findings: Finding, ignored: tuple[Ignored, ...] = ()) -> CheckedRun:
    report = evolve(troubles(), findings=findings, ignored=ignored)
    return CheckedRun((report,), root=ROOT)


SCHEMA = Agreement(
    "junit-schema",
    oracle="the published JUnit schema, by xmlschema",
    what="JUnit reports of every sort of run",
    limit=0.0,
    unit="yes or no",
    package="xmlschema",
)
READ = Agreement(
    "junit-read",
    oracle="junitparser",
    what="suites, cases, failures and their counts in JUnit reports",
    limit=0.0,
    unit="yes or no",
    package="junitparser",
)


@pytest.mark.oracle
@pytest.mark.parametrize("name", list(RUNS))
def test_every_run_fits_the_published_schema(name: str) -> None:
    oracle_or_skip("xmlschema")
    import xmlschema

    schema = xmlschema.XMLSchema(str(PUBLISHED / "junit-10.xsd"))
    schema.validate(ET.fromstring(junit_text(RUNS[name]())))
    SCHEMA.agrees()


@pytest.mark.oracle
def test_the_published_schema_refuses_what_is_wrong() -> None:
    oracle_or_skip("xmlschema")
    import xmlschema

    schema = xmlschema.XMLSchema(str(PUBLISHED / "junit-10.xsd"))
    wrong = junit_text(short_run()).replace("<testcase classname", "<testcase klass", 1)
    assert not schema.is_valid(ET.fromstring(wrong))


@pytest.mark.oracle
@pytest.mark.parametrize("name", list(RUNS))
def test_junitparser_reads_what_was_written(name: str) -> None:
    oracle_or_skip("junitparser")
    import junitparser

    run = RUNS[name]()
    read = junitparser.JUnitXml.fromstring(junit_text(run).encode("utf-8"))
    suites = list(read)
    assert len(suites) == len(run.reports) + len(run.unusable)
    stated = (read.tests, read.failures, read.errors)
    read.update_statistics()
    assert (read.tests, read.failures, read.errors) == stated
    assert read.errors == len(run.unusable)
    for suite in suites[len(run.unusable) :]:
        for case in suite:
            assert all(isinstance(r, junitparser.Failure) for r in case.result)
    READ.agrees()


def test_kept() -> None:
    assert_kept("short.junit.xml", junit_text(short_run()))


def test_a_case_for_every_cue_and_every_family() -> None:
    suite = only(run_of())
    assert suite.attrib["name"] == TROUBLES
    assert {c.attrib["classname"] for c in suite.findall("testcase")} == {TROUBLES}
    names = [c.attrib["name"] for c in suite.findall("testcase")]
    assert names[: len(troubles().cues)] == [c.id for c in troubles().cues]
    assert len(names) == len(troubles().cues) + len(FAMILIES)
    assert suite.attrib["failures"] == "0"


@pytest.mark.parametrize("fail_on", list(Severity))
def test_what_fails_is_what_the_exit_code_counts(fail_on: Severity) -> None:
    run = evolve(CheckedRun((troubles(),), root=ROOT), fail_on=fail_on)
    suite = only(run)
    told = "\n".join(e.text or "" for e in suite.iter("failure"))
    lesser = "\n".join(e.text or "" for c in suite.iter("testcase") for e in c.iter("system-out"))
    for finding in troubles().findings:
        assert (finding.message in told) == (finding.severity >= fail_on)
        assert (finding.message in lesser) == (finding.severity < fail_on)


def test_a_finding_about_two_cues_fails_both() -> None:
    finding = Finding("TIM002", "too early", path=("cue", 3), subjects=("comet again", "comet"))
    suite = only(run_of(finding))
    failed = [n for n, c in cases(suite).items() if c.find("failure") is not None]
    assert failed == ["comet", "comet again"]
    failure = cases(suite)["comet"].find("failure")
    assert failure is not None
    assert failure.attrib == {"type": "TIM002", "message": "too early"}


def test_a_finding_about_no_cue_fails_its_family() -> None:
    # An igniter may have the id of a cue; the finding stands in the igniter.
    named = Finding("SAF006", "left unlit", path=("igniter", 0), subjects=("comet",))
    whole = Finding("DOC023", "ambient not stated", path=("site",))
    foreign = Finding("XAB001", "too near the water")
    suite = only(run_of(named, whole, foreign))
    failed = [n for n, c in cases(suite).items() if c.find("failure") is not None]
    assert failed == [
        "rules DOC: document",
        "rules SAF: safety of people",
        "rules XAB: of a plugin",
    ]


def test_ignored_findings_are_told_and_do_not_fail() -> None:
    finding = Finding("FIR001", "does not light", path=("cue", 0), subjects=("fountains",))
    suite = only(run_of(ignored=(Ignored(finding, "a spare"),)))
    assert suite.attrib["failures"] == "0"
    said = cases(suite)["fountains"].findtext("system-out") or ""
    assert "verdict: no" in said
    assert "ignored: " in said
    assert said.endswith("Reason: a spare")
    suite = only(run_of(ignored=(Ignored(finding, "known", baseline=True),)))
    assert "\nknown: " in (cases(suite)["fountains"].findtext("system-out") or "")


def test_a_show_that_cannot_be_read_is_an_error_with_every_problem() -> None:
    suite = only(RUNS["unusable"]())
    assert (suite.attrib["name"], suite.attrib["errors"]) == (UNUSABLE, "1")
    (error,) = suite.iter("error")
    assert error.attrib["message"].endswith("problems; nothing was checked")
    for finding in unusable().findings:
        assert f"{finding.location}: error {finding.code}: {finding.message}" in (error.text or "")


def test_the_cautions_are_in_every_suite() -> None:
    for suite in ET.fromstring(junit_text(whole_run())).findall("testsuite")[1:]:
        assert "no permission to fire" in (suite.findtext("system-out") or "")


def test_hostile_texts_stay_text() -> None:
    text = junit_text(RUNS["hostile"]())
    assert all(c == "\n" or c.isprintable() for c in text)
    root = ET.fromstring(text)
    assert {e.tag for e in root.iter()} == {
        *("testsuites", "testsuite", "properties", "property", "testcase"),
        *("failure", "error", "system-out"),
    }
    titles = [p.attrib["value"] for p in root.iter("property") if p.attrib["name"] == "title"]
    assert titles[0] == HOSTILE[0]
    assert titles[-1] == HOSTILE[-1]
