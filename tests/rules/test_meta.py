"""What holds for all rules: codes, names, pages, cases."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest

import bridgewire.rules
from bridgewire.rules.base import FAMILIES
from bridgewire.rules.registry import LoadedRule, all_rules, load_rule, rule_files
from bridgewire.testing import assert_rule_page
from tests.rules.case_files import CASES, HERE, all_cases

RULES = all_rules()
ALL_CASES = all_cases()
COMMITTED = (HERE / "codes.txt").read_text(encoding="utf-8").splitlines()
NO_CASE_FILES = (
    {"DOC017", "PLG001", "PLG002", "PLG003", "PLG004"}
    | {f"REC{n:03d}" for n in range(1, 11)}
    | {f"CUT{n:03d}" for n in range(1, 4)}
)
"""Faults that no check of a show finds: test_engine.py, tests/plugins, tests/bench/readings and
tests/report/sheets have their cases."""


def _code(rule: LoadedRule) -> str:
    return rule.rule.code


each_rule = pytest.mark.parametrize("rule", RULES, ids=_code)


def test_codes_are_unique() -> None:
    folder = Path(bridgewire.rules.__file__).parent
    codes = [f.stem[:6] for f in folder.glob("[a-z][a-z][a-z][0-9][0-9][0-9]_*.py")]
    assert len(codes) == len(set(codes)) == len(RULES)


def test_names_are_unique() -> None:
    names = [r.rule.name for r in RULES]
    assert len(names) == len(set(names))


@each_rule
def test_metadata_and_page_are_whole(rule: LoadedRule) -> None:
    assert_rule_page(rule)
    assert rule.rule.family in FAMILIES


@each_rule
def test_file_is_named_after_the_rule(rule: LoadedRule) -> None:
    module = rule_files()[rule.rule.code].rsplit(".", 1)[1]
    assert module == f"{rule.rule.code.lower()}_{rule.rule.name.replace('-', '_')}"


@each_rule
def test_rule_has_a_check_unless_found_at_load(rule: LoadedRule) -> None:
    assert (rule.check is None) == rule.rule.at_load


@each_rule
def test_rule_has_a_failing_and_a_passing_case(rule: LoadedRule) -> None:
    if rule.rule.code in NO_CASE_FILES:
        return
    mine = [c.should_fail for c in ALL_CASES if c.code == rule.rule.code]
    assert True in mine
    assert False in mine


def test_every_case_is_of_a_rule() -> None:
    assert {p.name for p in CASES.iterdir()} <= set(rule_files())
    odd = [
        str(f.relative_to(CASES))
        for f in CASES.glob("*/*.toml")
        if not f.stem.startswith(("fail_", "pass_"))
    ]
    assert odd == []


def test_no_code_is_lost_or_renamed() -> None:
    """Each line of the committed list still stands, and each rule has its line there."""
    now = [f"{r.rule.code} {r.rule.name}" for r in RULES]
    assert sorted(now) == COMMITTED


def test_loading_one_rule_gives_the_same_as_loading_all() -> None:
    for rule in RULES:
        assert load_rule(rule.rule.code) == rule
        assert importlib.import_module(rule_files()[rule.rule.code]).RULE is rule.rule


def test_unknown_code_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        load_rule("WIR999")
