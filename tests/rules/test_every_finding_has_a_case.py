"""Each ``yield`` of a rule is reached by one of its failing cases.

A rule with one ``yield`` needs no look: its failing cases give findings, and there is no other way.
"""

from __future__ import annotations

import ast
import importlib
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from bridgewire.rules.registry import rule_files
from bridgewire.testing import RuleCase
from bridgewire.testing.rule_trials import findings_of_case
from tests.rules.case_files import all_cases
from tests.rules.test_meta import NO_CASE_FILES


def yields(file: Path) -> dict[int, int]:
    """First and last line of each ``yield`` of a file."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    found = [n for n in ast.walk(tree) if isinstance(n, ast.Yield | ast.YieldFrom)]
    return {n.lineno: n.end_lineno or n.lineno for n in found}


def file_of(code: str) -> Path:
    return Path(importlib.import_module(rule_files()[code]).__file__ or "")


SEVERAL = [
    code
    for code in sorted(rule_files())
    if code not in NO_CASE_FILES and len(yields(file_of(code))) > 1
]


@contextmanager
def lines_run(file: Path) -> Iterator[set[int]]:
    """Note the lines of a file that run."""
    seen: set[int] = set()
    name = str(file)

    def in_file(frame: FrameType, event: str, _: Any) -> Any:
        if event == "line":
            seen.add(frame.f_lineno)
        return in_file

    def anywhere(frame: FrameType, _event: str, _: Any) -> Any:
        return in_file if frame.f_code.co_filename == name else None

    before = sys.gettrace()
    sys.settrace(anywhere)
    try:
        yield seen
    finally:
        sys.settrace(before)


def failing(code: str) -> list[RuleCase]:
    return [c for c in all_cases() if c.code == code and c.should_fail]


@pytest.mark.parametrize("code", SEVERAL)
def test_each_yield_is_reached_by_a_failing_case(code: str) -> None:
    file = file_of(code)
    with lines_run(file) as seen:
        for case in failing(code):
            findings_of_case(case)
    missed = [a for a, b in yields(file).items() if seen.isdisjoint(range(a, b + 1))]
    assert missed == [], f"{file.name}: no failing case reaches the yield of these lines"


def test_the_count_sees_what_is_not_reached() -> None:
    """With one case of two, the yield of the other is missed."""
    file = file_of("DOC022")
    slip = next(c for c in failing("DOC022") if c.name.endswith("fail_slip"))
    with lines_run(file) as seen:
        findings_of_case(slip)
    reached = [not seen.isdisjoint(range(a, b + 1)) for a, b in sorted(yields(file).items())]
    assert reached == [True, False, False]
