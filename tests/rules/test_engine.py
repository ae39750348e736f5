"""The engine: crashes become findings, ignores are kept with their reason, the worst is first."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.api import check as check_show
from bridgewire.diagnostics import DocPath, Finding, Severity
from bridgewire.model.show import Checks, Ignore
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import Check, LoadedRule, all_rules, load_rule
from bridgewire.timeline.assess import assess
from tests.rules.case_files import KITS, all_cases, case

RULE_A = Rule("WIR901", "made-up-fault", Severity.WARNING)
RULE_B = Rule("KIT901", "made-up-gap", Severity.ERROR)


@pytest.fixture(scope="module")
def context() -> Context:
    loaded = case("WIR001/pass_complete").load()
    return Context(assess(loaded.layout))


def with_ignores(context: Context, *ignores: Ignore) -> Context:
    show = evolve(context.show, checks=Checks(ignores))
    assessment = context.assessment
    layout = evolve(assessment.layout, show=show)
    return Context(evolve(assessment, layout=layout))


def yields(rule: Rule, *places: tuple[str, DocPath, tuple[str, ...]]) -> LoadedRule:
    """A rule that gives one finding for each message, path and subjects."""

    def check(_: Context) -> Iterator[Finding]:
        for message, path, subjects in places:
            yield rule.finding(message, path, subjects=subjects)

    return LoadedRule(rule, check, "A page.")


def crashes(error: Exception) -> LoadedRule:
    def check(_: Context) -> Iterator[Finding]:
        yield RULE_A.finding("found before the crash")
        raise error

    return LoadedRule(RULE_A, check, "A page.")


TWO = yields(RULE_A, ("first", ("cue", 0), ("go", "one")), ("second", ("cue", 1), ("on",)))


def test_a_crash_is_a_finding_and_the_other_rules_run(context: Context) -> None:
    found, ignored = run_rules(context, [crashes(ZeroDivisionError("by zero")), TWO])
    crash = next(f for f in found if f.code == "DOC017")
    assert crash.code == load_rule("DOC017").rule.code
    assert crash.severity is Severity.ERROR
    assert crash.message == (
        "rule WIR901 failed (ZeroDivisionError: by zero); what it checks was not checked"
    )
    assert crash.subjects == ("WIR901",)
    assert crash.remedy
    others = sorted(f.message for f in found if f.code == "WIR901")
    assert others == ["first", "found before the crash", "second"]
    assert ignored == ()


def test_a_rule_that_is_found_at_load_does_not_run(context: Context) -> None:
    found, ignored = run_rules(context, [load_rule("DOC001")])
    assert (found, ignored) == ((), ())


@pytest.mark.parametrize("stop", [KeyboardInterrupt, SystemExit])
def test_a_wish_to_stop_is_no_crash(context: Context, stop: type[BaseException]) -> None:
    def check(_: Context) -> Iterator[Finding]:
        raise stop
        yield

    with pytest.raises(stop):
        run_rules(context, [LoadedRule(RULE_A, check, "A page.")])


def test_an_ignored_code_is_kept_with_its_reason(context: Context) -> None:
    asked = with_ignores(context, Ignore("WIR901", "agreed at the briefing"))
    found, ignored = run_rules(asked, [TWO])
    assert found == ()
    assert [(i.finding.message, i.reason) for i in ignored] == [
        ("first", "agreed at the briefing"),
        ("second", "agreed at the briefing"),
    ]


@pytest.mark.parametrize(
    ("subject", "kept"), [("one", ["second"]), ("on", ["first"]), ("other", ["first", "second"])]
)
def test_an_ignore_may_name_a_subject(context: Context, subject: str, kept: list[str]) -> None:
    asked = with_ignores(context, Ignore("WIR901", "known", subject))
    found, ignored = run_rules(asked, [TWO])
    assert [f.message for f in found] == kept
    assert len(found) + len(ignored) == 2


def test_an_ignore_of_another_code_changes_nothing(context: Context) -> None:
    asked = with_ignores(context, Ignore("WIR902", "known"))
    assert len(run_rules(asked, [TWO])[0]) == 2


def test_the_first_matching_ignore_gives_the_reason(context: Context) -> None:
    asked = with_ignores(context, Ignore("WIR901", "that one", "on"), Ignore("WIR901", "the rest"))
    _, ignored = run_rules(asked, [TWO])
    assert [(i.finding.message, i.reason) for i in ignored] == [
        ("first", "the rest"),
        ("second", "that one"),
    ]


def test_worst_first_then_by_code_and_place(context: Context) -> None:
    rules = [
        yields(RULE_A, ("d", ("run", 0), ()), ("c", ("cue", 3), ())),
        yields(RULE_B, ("a", ("cue", 7), ())),
        yields(evolve(RULE_A, severity=Severity.INFO), ("e", ("box", 0), ())),
        yields(evolve(RULE_A, code="SUP901"), ("b", ("run", 9), ())),
    ]
    assert [f.message for f in run_rules(context, rules)[0]] == ["a", "b", "c", "d", "e"]
    assert run_rules(context, rules) == run_rules(context, list(reversed(rules)))


def test_places_are_in_the_order_of_the_document(context: Context) -> None:
    """cue[2] stands before cue[10]."""
    rule = yields(RULE_A, ("late", ("cue", 10), ()), ("early", ("cue", 2), ()))
    assert [f.message for f in run_rules(context, [rule])[0]] == ["early", "late"]


def test_all_rules_run_where_none_are_named(context: Context) -> None:
    def nothing(_: Context) -> Iterator[Finding]:
        return iter(())

    everything, _ = run_rules(context)
    named, _ = run_rules(context, all_rules())
    assert everything == named
    silent: Check = nothing
    assert run_rules(context, [LoadedRule(RULE_A, silent, "")]) == ((), ())


def test_no_rule_crashes_on_a_show_with_next_to_nothing(tmp_path: Path) -> None:
    file = tmp_path / "bare.toml"
    file.write_text('format = 1\ntitle = "bare"\nkits = []\n', encoding="utf-8")
    assert all(f.code != "DOC017" for f in check_show(file).findings)


@pytest.mark.parametrize("folder", ["KIT001", "KIT002", "KIT007", "WIR008", "WIR014"])
def test_no_rule_crashes_where_data_are_missing(folder: str) -> None:
    for one in all_cases():
        if one.code == folder and one.should_fail:
            found = check_show(one.load()).findings
            assert all(f.code != "DOC017" for f in found), one.name


def test_the_kits_of_the_cases_are_there() -> None:
    assert (KITS / "bench.toml").is_file()
