from __future__ import annotations

from bridgewire.diagnostics import Finding, Location, Severity
from bridgewire.report.findings_text import findings_lines
from bridgewire.report.ink import Ink
from tests.report.regression import assert_unchanged


def many(code: str, number: int, severity: Severity = Severity.ERROR) -> list[Finding]:
    return [
        Finding(
            code,
            f"igniter 'comet {n}' does not light under cue 'comets'",
            severity,
            location=Location("small.toml", 10 + n, 1),
            remedy="a longer pulse or a thicker cable",
        )
        for n in range(number)
    ]


def test_a_code_that_repeats_is_folded() -> None:
    text = "\n".join(findings_lines(many("FIR001", 44)))
    assert text.count("does not light") == 3
    assert "and 41 more FIR001; --all shows them" in text
    assert "Errors (44)" in text


def test_everything_is_shown_when_asked() -> None:
    text = "\n".join(findings_lines(many("FIR001", 44), everything=True))
    assert text.count("does not light") == 44
    assert "more" not in text


def test_one_more_than_the_limit_is_not_worth_folding() -> None:
    text = "\n".join(findings_lines(many("FIR001", 4)))
    assert text.count("does not light") == 4


def test_severities_stand_worst_first() -> None:
    found = [
        *many("KIT005", 1, Severity.INFO),
        *many("FIR002", 1, Severity.WARNING),
        *many("FIR001", 1),
    ]
    lines = findings_lines(found)
    titles = [line for line in lines if line.startswith(("Errors", "Warnings", "Notes"))]
    assert titles == ["Errors (1)", "Warnings (1)", "Notes (1)"]


def test_colour_changes_no_word() -> None:
    import re

    plain = findings_lines(many("FIR001", 5))
    dressed = findings_lines(many("FIR001", 5), ink=Ink(True))
    assert [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in dressed] == plain
    assert dressed != plain


def test_regression_of_the_layout() -> None:
    found = [*many("FIR001", 6), *many("SUP002", 2, Severity.WARNING)]
    assert_unchanged("findings.txt", "\n".join(findings_lines(found)) + "\n")
