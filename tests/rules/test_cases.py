"""Every rule finds its fault in its failing cases, at the stated place, and nowhere else."""

from __future__ import annotations

import pytest

from bridgewire.rules.registry import load_rule
from tests.rules.case_files import Case, cases, findings_of, loads, path_exists


def _name(case: Case) -> str:
    return case.name


@pytest.mark.parametrize("case", cases("fail"), ids=_name)
def test_failing_case_gives_its_finding(case: Case) -> None:
    expected = case.expected()
    assert expected, "the file does not start with '# expect: path=...'"
    found = findings_of(case)
    for one in expected:
        assert any(one.matches(f) for f in found), (one, found)


@pytest.mark.parametrize("case", cases("fail"), ids=_name)
def test_findings_of_a_case_are_fit_to_show(case: Case) -> None:
    rule = load_rule(case.code).rule
    for finding in findings_of(case):
        assert finding.message
        assert finding.message.isprintable()
        assert not finding.message.endswith(".")
        assert finding.location is not None
        if rule.at_load:
            continue
        assert finding.remedy
        loaded = loads(case)
        document = loaded.document
        if finding.document != "show":
            document = loaded.kits[finding.document.removeprefix("kit:")].document
        assert finding.document == "show" or finding.document.startswith("kit:")
        assert path_exists(finding.path, document.data), finding.path


@pytest.mark.parametrize("case", cases("pass"), ids=_name)
def test_passing_case_gives_none(case: Case) -> None:
    loads(case)
    assert findings_of(case) == ()
