"""What holds for all rules: codes, names, pages, cases."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest

import bridgewire.rules
from bridgewire.diagnostics import Severity
from bridgewire.rules.base import FAMILIES, SECTIONS
from bridgewire.rules.registry import LoadedRule, all_rules, load_rule, page_sections, rule_files
from tests.rules.case_files import CASES, HERE, cases

RULES = all_rules()
COMMITTED = (HERE / "codes.txt").read_text(encoding="utf-8").splitlines()
NO_CASE_FILES = {"DOC017"}
"""Faults that no document can hold: test_engine.py has their cases."""


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
def test_metadata_are_sane(rule: LoadedRule) -> None:
    data = rule.rule
    assert re.fullmatch(r"[A-Z]{3}\d{3}", data.code)
    assert data.family in FAMILIES
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", data.name)
    assert isinstance(data.severity, Severity)
    assert data.status in ("stable", "preview", "deprecated")
    assert re.fullmatch(r"\d+\.\d+", data.since)


@each_rule
def test_file_is_named_after_the_rule(rule: LoadedRule) -> None:
    module = rule_files()[rule.rule.code].rsplit(".", 1)[1]
    assert module == f"{rule.rule.code.lower()}_{rule.rule.name.replace('-', '_')}"


@each_rule
def test_rule_has_a_check_unless_found_at_load(rule: LoadedRule) -> None:
    assert (rule.check is None) == rule.rule.at_load


@each_rule
def test_page_has_its_sections_in_order(rule: LoadedRule) -> None:
    sections = page_sections(rule.page)
    assert tuple(sections) == SECTIONS
    for title, text in sections.items():
        assert text, title
        assert not re.search(r"\b(TODO|FIXME|TBD)\b", text), title
        assert all(len(line) <= 100 for line in text.splitlines())


@each_rule
def test_summary_is_one_sentence(rule: LoadedRule) -> None:
    lines = rule.page.split("\n")
    assert lines[0] == rule.summary
    assert rule.summary.endswith(".")
    assert rule.summary[0].isupper()
    assert lines[1] == ""


@each_rule
def test_rule_has_a_failing_and_a_passing_case(rule: LoadedRule) -> None:
    if rule.rule.code in NO_CASE_FILES:
        return
    for prefix in ("fail", "pass"):
        assert any(c.code == rule.rule.code for c in cases(prefix)), prefix


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
