"""Rule cases as files, for rules of bridgewire and of others."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from bridgewire.diagnostics import Finding, Severity
from bridgewire.plugins import PluginRule, Rule
from bridgewire.rules.base import SECTIONS
from bridgewire.rules.context import Context
from bridgewire.testing import (
    Expected,
    RuleCase,
    assert_rule_case,
    assert_rule_page,
    findings_of_case,
    rule_cases,
    small_show,
)

LATE = Rule("XTE001", "cue-too-late", Severity.WARNING)
PAGE = "A cue is late.\n\n" + "\n\n".join(f"{s}\n{'-' * len(s)}\nWords." for s in SECTIONS)


def late(context: Context) -> Iterator[Finding]:
    """A rule of a test: no cue after 30 s."""
    for index, cue in enumerate(context.show.cue):
        if cue.time_s is not None and cue.time_s > 30.0:
            yield LATE.finding(
                f"cue {cue.id!r} is at {cue.time_s:g} s",
                ("cue", index, "time_s"),
                subjects=(cue.id,),
                remedy="fire it earlier",
            )


RULE = PluginRule(LATE, late, PAGE)


def case(folder: Path, prefix: str, head: str = "", igniters: int = 1) -> RuleCase:
    """A case of the rule: the second igniter's cue is at 40 s."""
    inner = folder / "XTE001"
    inner.mkdir(exist_ok=True)
    file = small_show(inner, name=f"{prefix}_one.toml", igniters=igniters)
    file.write_text(head + file.read_text(encoding="utf-8"), encoding="utf-8")
    (found,) = [c for c in rule_cases(folder) if c.file == file]
    return found


EXPECT = "# expect: path=cue[1].time_s; text=is at 40 s; severity=warning\n"


def test_a_passing_and_a_failing_case_of_a_plugin_s_rule(tmp_path: Path) -> None:
    good, bad = case(tmp_path, "pass"), case(tmp_path, "fail", EXPECT, 2)
    assert (good.should_fail, bad.should_fail) == (False, True)
    assert bad.name == "XTE001/fail_one"
    assert bad.expected() == (Expected("cue[1].time_s", "is at 40 s", "show", "warning"),)
    assert_rule_case(good, RULE)
    assert_rule_case(bad, RULE)
    (finding,) = findings_of_case(bad, RULE)
    assert finding.location is not None
    assert finding.location.file.endswith("fail_one.toml")


@pytest.mark.parametrize(
    ("prefix", "head", "igniters", "words"),
    [
        ("pass", "", 2, "should give nothing, but gave:\n  XTE001 warning at show cue"),
        ("fail", EXPECT, 1, "did not give:\n  path=cue\\[1\\].time_s; text=is at 40 s"),
        ("fail", EXPECT.replace("40", "41"), 2, "did not give"),
        ("fail", EXPECT.replace("warning", "error"), 2, "did not give"),
        ("fail", EXPECT.replace("cue[1]", "cue[0]"), 2, "did not give"),
        ("fail", "", 2, "does not start with"),
        ("fail", "title = 3\n", 1, "does not"),
        ("pass", "unknown = 3\n", 1, "does not load"),
    ],
)
def test_a_case_that_does_not_hold_is_told(
    prefix: str, head: str, igniters: int, words: str, tmp_path: Path
) -> None:
    with pytest.raises(AssertionError, match=words):
        assert_rule_case(case(tmp_path, prefix, head, igniters), RULE)


@pytest.mark.parametrize("line", ["# expect: path", "# expect: text=a", "# expect: path=a; b=c"])
def test_an_expectation_that_cannot_be_read_is_an_error(line: str, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="XTE001/fail_one"):
        case(tmp_path, "fail", f"{line}\n").expected()


def broken(context: Context) -> Iterator[Finding]:
    """A rule that fails after its finding."""
    yield from late(context)
    raise KeyError("gone")


def vague(context: Context) -> Iterator[Finding]:
    """A rule whose finding has no remedy and a path that is not there."""
    yield LATE.finding("is at 40 s", ("cue", 1, "time_s"))
    yield LATE.finding("something is wrong.", ("cue", 77))


def test_a_rule_that_fails_and_findings_of_no_use_are_told(tmp_path: Path) -> None:
    bad = case(tmp_path, "fail", EXPECT, 2)
    with pytest.raises(AssertionError, match="the rule failed"):
        assert_rule_case(bad, PluginRule(LATE, broken, PAGE))
    with pytest.raises(AssertionError) as caught:
        assert_rule_case(bad, PluginRule(LATE, vague, PAGE))
    for words in ("says not what to do", "no cue[77]", "without a full stop"):
        assert words in str(caught.value)


def test_a_case_of_another_rule_is_refused(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="bridgewire has no rule XTE001"):
        assert_rule_case(case(tmp_path, "pass"))
    other = PluginRule(Rule("XTE002", "other", Severity.INFO), late, PAGE)
    with pytest.raises(AssertionError, match="is no case of XTE002"):
        assert_rule_case(case(tmp_path, "pass"), other)


def test_a_whole_page_passes() -> None:
    assert_rule_page(RULE)


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        (PluginRule(LATE, late, PAGE.replace("late.", "late", 1)), "begin with one sentence"),
        (PluginRule(LATE, late, PAGE.replace("\n\n", "\n", 1)), "no empty line"),
        (PluginRule(LATE, late, PAGE.replace("Settings\n--------\nWords.\n\n", "")), "sections"),
        (PluginRule(LATE, late, PAGE.replace("Words.", "", 1)), "is empty"),
        (PluginRule(LATE, late, PAGE.replace("Words.", "TODO", 1)), "is unfinished"),
        (PluginRule(LATE, late, PAGE.replace("Words.", "w " * 60, 1)), "longer than 100"),
        (PluginRule(Rule("WIR999", "a", Severity.INFO), late, PAGE), "XAA001 to XZZ999"),
        (PluginRule(Rule("XTE001", "A name", Severity.INFO), late, PAGE), "'A name'"),
        (PluginRule(Rule("XTE001", "a", Severity.INFO, since="new"), late, PAGE), "no version"),
        (PluginRule(Rule("XTE001", "a", Severity.INFO, status="old"), late, PAGE), "status"),
    ],
)
def test_what_a_page_lacks_is_told(rule: PluginRule, words: str) -> None:
    with pytest.raises(AssertionError, match=words):
        assert_rule_page(rule)
