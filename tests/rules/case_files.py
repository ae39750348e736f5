"""Where the cases of bridgewire's own rules are; their format: `bridgewire.testing.case_files`."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from bridgewire.diagnostics import Finding
from bridgewire.testing import RuleCase, findings_of_case, rule_cases

HERE = Path(__file__).parent
CASES = HERE / "cases"
KITS = HERE / "kits"


def all_cases() -> list[RuleCase]:
    """Every case, in order of code and file name."""
    return rule_cases(CASES, kit_dirs=[KITS])


def case(name: str) -> RuleCase:
    """A case by its name, e.g. ``WIR001/pass_complete``."""
    return next(c for c in all_cases() if c.name == name)


@cache
def findings_of(case: RuleCase) -> tuple[Finding, ...]:
    """What a case's own rule finds in it; several tests ask."""
    return findings_of_case(case)
