"""Every rule finds its fault in its failing cases, at the stated place, and nowhere else."""

from __future__ import annotations

import pytest

from bridgewire.testing import RuleCase, assert_rule_case
from tests.rules.case_files import all_cases

CASES = all_cases()


@pytest.mark.parametrize("case", CASES, ids=[c.name for c in CASES])
def test_case_gives_what_it_says(case: RuleCase) -> None:
    assert_rule_case(case)
