"""What DOC021, DOC022, DOC025 and DOC026 say of requirements and of checks.ignore."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.testing import findings_of_case
from tests.rules.case_files import case
from tests.rules.show_text import assessed, case_text, findings


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("fail_no_latest_light", ("latest_light_s",)),
        (
            "fail_nothing_stated",
            ("margin", "spread_s", "latest_light_s", "effect_tolerance_s"),
        ),
    ],
)
def test_requirements_that_nobody_states_are_counted(name: str, keys: tuple[str, ...]) -> None:
    (found,) = findings_of_case(case(f"DOC021/{name}"))
    assert (found.subjects, found.measured, found.limit) == (keys, len(keys), 0)
    assert found.remedy.endswith(f": {', '.join(keys)}")


def test_a_slip_in_a_code_is_put_right_and_a_strange_code_is_not(tmp_path: Path) -> None:
    text = case_text("DOC022/fail_slip")
    (near,) = findings(text.replace("WIR03", "WIR0033"), "DOC022", tmp_path)
    assert near.remedy.endswith("take the entry out: did you mean 'WIR003'?")
    (far,) = findings(text.replace("WIR03", "QQQ777"), "DOC022", tmp_path)
    assert far.remedy.endswith("take the entry out")


@pytest.mark.parametrize(
    ("name", "days", "subjects"),
    [
        ("fail_day_after", 1, ("WIR003",)),
        ("fail_long_past_with_subject", 365, ("WIR003", "one")),
    ],
)
def test_days_since_an_ignore_expired(name: str, days: int, subjects: tuple[str, ...]) -> None:
    """Cases are checked as on 1 July 2026; 365 days before is 1 July 2025."""
    (found,) = findings_of_case(case(f"DOC025/{name}"))
    assert (found.measured, found.limit, found.unit) == (days, 0, "days")
    assert found.subjects == subjects


@pytest.mark.parametrize(
    ("name", "subjects"),
    [("fail_mended", ("WIR003",)), ("fail_beside_entries_in_use", ("WIR003", "one"))],
)
def test_an_entry_left_out_none_and_ought_to_one(name: str, subjects: tuple[str, ...]) -> None:
    """Of several entries only the one of no use is told."""
    (found,) = findings_of_case(case(f"DOC026/{name}"))
    assert (found.subjects, found.measured, found.limit) == (subjects, None, None)


def test_an_entry_with_the_wrong_subject_is_told_the_right_ones() -> None:
    (wrong,) = findings_of_case(case("DOC026/fail_other_subject"))
    assert wrong.remedy.endswith("; SUP008 is found of 'b'")
    (mended,) = findings_of_case(case("DOC026/fail_mended"))
    assert mended.remedy.endswith("correct its code or subject")


@pytest.mark.parametrize(("plugin_codes", "told"), [((), []), (("ABC001",), ["ABC001"])])
def test_a_code_of_a_plugin_counts_where_the_plugin_is_there(
    plugin_codes: tuple[str, ...], told: list[str], tmp_path: Path
) -> None:
    text = case_text("DOC026/fail_mended").replace("WIR003", "ABC001")
    context = Context(assessed(text, tmp_path), plugin_codes=frozenset(plugin_codes))
    found, _ = run_rules(context, [load_rule("DOC026")])
    assert [f.subjects[0] for f in found] == told
