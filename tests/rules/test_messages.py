"""What holds for the words of all findings: both numbers are said, and the words are for people."""

from __future__ import annotations

import re

import pytest

from bridgewire.diagnostics import Finding
from bridgewire.testing import RuleCase
from tests.rules.case_files import all_cases, findings_of

FAILING = [c for c in all_cases() if c.should_fail and not c.code.startswith("DOC")]
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?:e-?\d+)?")
SCALES = (1.0, 1e-3)
"""Messages write ms and mA."""
MELTS_C = 1000.0
"""No conductor's temperature is written above it."""


def says(message: str, value: float) -> bool:
    """Whether a message has a value, to three digits."""
    return any(
        abs(float(text) * scale - abs(value)) <= 0.0051 * abs(value)
        for text in NUMBER.findall(message)
        for scale in SCALES
    )


def own_findings(case: RuleCase) -> list[Finding]:
    return [f for f in findings_of(case) if f.code == case.code]


@pytest.mark.parametrize("case", FAILING, ids=[c.name for c in FAILING])
def test_a_message_holds_the_measured_value_and_the_limit(case: RuleCase) -> None:
    for finding in own_findings(case):
        if not finding.unit:  # a count or a probability, which words tell
            continue
        for value in (finding.measured, finding.limit):
            beyond = finding.unit == "°C" and value is not None and value > MELTS_C
            whole = value == 1.0 and finding.unit.startswith("times ")
            if value and not beyond and not whole:
                assert says(finding.message, value), (value, finding.message)


@pytest.mark.parametrize("case", FAILING, ids=[c.name for c in FAILING])
def test_a_message_is_a_sentence_without_end_and_a_remedy_says_what_to_do(case: RuleCase) -> None:
    for finding in own_findings(case):
        for text in (finding.message, finding.remedy):
            assert text, finding.code
            assert text == text.strip()
            assert not text.endswith((".", ";", ":", ",")), text
            assert "  " not in text, text
            assert not re.search(r"\b(None|nan|inf|True|False)\b", text), text
            assert not re.search(r"\b1 \w+s (is|are|need)\b", text), text


def test_the_numbers_of_a_message_are_found() -> None:
    assert says("it lights after 88.5 ms at 2 A", 0.0885)
    assert says("-20 °C", -20.0)
    assert not says("run 'b/12' is 1.2 m long", 0.12)
    assert not says("a pulse of 0.500 s", 0.51)
