"""Where the cases of bridgewire's own rules are; their format: `bridgewire.testing.case_files`."""

from __future__ import annotations

from pathlib import Path

from bridgewire.testing import RuleCase, rule_cases

HERE = Path(__file__).parent
CASES = HERE / "cases"
KITS = HERE / "kits"


def all_cases() -> list[RuleCase]:
    """Every case, in order of code and file name."""
    return rule_cases(CASES, kit_dirs=[KITS])


def case(name: str) -> RuleCase:
    """A case by its name, e.g. ``WIR001/pass_complete``."""
    return next(c for c in all_cases() if c.name == name)
