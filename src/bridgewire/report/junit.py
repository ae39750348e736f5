"""A run of the check as JUnit XML: one test suite for each show, one test case for each cue.

There is no standard of this format; what is written fits the schema that the Jenkins xunit plugin
uses, and is made with the standard library.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.etree import ElementTree as ET

from bridgewire.diagnostics import Finding, Severity
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.contents import Checked
from bridgewire.report.plain_text import count, visible
from bridgewire.report.run import CheckedRun, Entry, Unusable, full_text
from bridgewire.rules.base import FAMILIES
from bridgewire.rules.engine import Ignored

_NO_TIME = "0"
"""All cues are computed together, so no single one has a duration."""


def junit_text(run: CheckedRun) -> str:
    """Write a run as JUnit XML.

    Parameters
    ----------
    run : CheckedRun

    Returns
    -------
    str
        Ends with a line end. A cue fails if a finding at or above ``run.fail_on`` is about it;
        lesser ones are in its ``system-out``. Findings that are about no cue go to one test case
        for each family of rules. A show that could not be read is a suite with one ``error``.
        Characters that XML 1.0 forbids are written as escapes.
    """
    suites = [_unusable(u) for u in run.unusable]
    suites += [_suite(r, run.fail_on) for r in run.reports]
    root = ET.Element("testsuites", {"name": "bridgewire check", "time": _NO_TIME})
    for key in ("tests", "failures", "errors"):
        root.set(key, str(sum(int(s.get(key, "0")) for s in suites)))
    root.extend(suites)
    ET.indent(root)
    head = '<?xml version="1.0" encoding="UTF-8"?>\n'
    return head + ET.tostring(root, encoding="unicode") + "\n"


def _unusable(show: Unusable) -> ET.Element:
    suite = ET.Element("testsuite", {"name": visible(show.file)})
    case = _case(suite, show.file, "the show can be read")
    number = count(len(show.findings), "problem")
    kinds = {f.code: None for f in show.findings}
    error = ET.SubElement(
        case, "error", {"type": " ".join(kinds), "message": f"{number}; nothing was checked"}
    )
    error.text = "\n".join(_line(f, show.file) for f in show.findings)
    return _counted(suite, errors=1)


def _suite(report: Checked, fail_on: Severity) -> ET.Element:
    suite = ET.Element("testsuite", {"name": visible(report.file)})
    facts = {
        "title": report.title,
        "revision": report.revision,
        "sha256": report.sha256,
        "bridgewire": report.version,
        **{f"kit {k.id}": f"{k.version} {k.sha256}".strip() for k in report.kits},
    }
    properties = ET.SubElement(suite, "properties")
    for name, value in facts.items():
        ET.SubElement(properties, "property", {"name": visible(name), "value": visible(value)})
    verdicts = {c.id: c.verdict for c in report.cues}
    for name, group, ignored in _groups(report, list(verdicts)):
        case = _case(suite, report.file, name)
        verdict = verdicts.get(name)
        said = [f"verdict: {verdict.value}"] if verdict else []
        _fill(case, group, ignored, report.file, fail_on, said)
    ET.SubElement(suite, "system-out").text = "\n".join(CAUTIONS)
    return _counted(suite)


def _groups(
    report: Checked, ids: Sequence[str]
) -> Iterable[tuple[str, list[Finding], list[Ignored]]]:
    """Name of each test case with its findings: the cues in their order, then the families."""
    known = set(ids)
    about = [(f, _cues_of(f, ids, known)) for f in report.findings]
    hidden = [(i, _cues_of(i.finding, ids, known)) for i in report.ignored]
    for name in ids:
        yield (
            name,
            [f for f, cues in about if name in cues],
            [i for i, cues in hidden if name in cues],
        )
    found = {f.code[:3] for f, cues in about if not cues}
    found |= {i.finding.code[:3] for i, cues in hidden if not cues}
    for family in (*FAMILIES, *sorted(found - FAMILIES.keys())):
        yield (
            f"rules {family}: {FAMILIES.get(family, 'of a plugin')}",
            [f for f, cues in about if not cues and f.code[:3] == family],
            [i for i, cues in hidden if not cues and i.finding.code[:3] == family],
        )


def _cues_of(finding: Finding, ids: Sequence[str], known: set[str]) -> set[str]:
    """The cues that a finding is about: the one it stands in, and those among its subjects.

    An igniter or a part may have the id of a cue. So a finding that stands in an igniter is about
    no cue unless it names another subject first.
    """
    cues: set[str] = set()
    path = finding.path
    if finding.document == "show" and len(path) > 1 and path[0] == "cue":
        if isinstance(path[1], int) and path[1] < len(ids):
            cues.add(ids[path[1]])
        cues.update(s for s in finding.subjects if s in known)
    elif path[:1] != ("igniter",):
        cues.update(s for s in finding.subjects[:1] if s in known)
    return cues


def _case(suite: ET.Element, file: str, name: str) -> ET.Element:
    return ET.SubElement(
        suite,
        "testcase",
        {"classname": visible(file), "name": visible(name), "time": _NO_TIME},
    )


def _fill(
    case: ET.Element,
    findings: Sequence[Finding],
    ignored: Sequence[Ignored],
    file: str,
    fail_on: Severity,
    said: Sequence[str],
) -> None:
    bad = [f for f in findings if f.severity >= fail_on]
    if bad:
        kinds = " ".join({f.code: None for f in bad})
        more = f" (and {len(bad) - 1} more)" if len(bad) > 1 else ""
        failure = ET.SubElement(
            case, "failure", {"type": kinds, "message": visible(bad[0].message) + more}
        )
        failure.text = "\n".join(_line(f, file) for f in bad)
    lines = [*said, *(_line(f, file) for f in findings if f.severity < fail_on)]
    lines += [_ignored_line(i, file) for i in ignored]
    if lines:
        ET.SubElement(case, "system-out").text = "\n".join(lines)


def _ignored_line(ignored: Ignored, file: str) -> str:
    if ignored.baseline:
        return f"known: {_line(ignored.finding, file)}"
    return f"ignored: {_line(ignored.finding, file)} Reason: {visible(ignored.reason)}"


def _line(finding: Finding, file: str) -> str:
    place = visible(file if finding.location is None else str(finding.location))
    text = full_text(Entry(finding, file, ""))
    return f"{place}: {finding.severity.word} {finding.code}: {text}"


def _counted(suite: ET.Element, errors: int = 0) -> ET.Element:
    cases = suite.findall("testcase")
    suite.set("tests", str(len(cases)))
    suite.set("failures", str(sum(c.find("failure") is not None for c in cases)))
    suite.set("errors", str(errors))
    suite.set("skipped", "0")
    suite.set("time", _NO_TIME)
    return suite
