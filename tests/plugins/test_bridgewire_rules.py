"""The hook `bridgewire_rules`: rules from outside run beside ours."""

from __future__ import annotations

from pathlib import Path

import pytest

import bridgewire
from bridgewire import Severity
from bridgewire.diagnostics import Finding
from bridgewire.plugins import load_plugins
from tests.plugins.distributions import RULE, install
from tests.plugins.shows import KIT_DIRS, write_show

PLUGIN = """
import unlucky

@hookimpl
def bridgewire_rules(context):
    return [PluginRule.from_module(unlucky)]
"""
IGNORE = '\n[[checks.ignore]]\ncode = "XLK001"\nreason = "we are not superstitious"\n'


def install_rule(site: Path, rule: str = RULE) -> None:
    install(site, PLUGIN, files={"unlucky.py": rule})


def check(show: Path) -> bridgewire.Report:
    return bridgewire.check(bridgewire.load_show(show, kit_dirs=KIT_DIRS))


def of(report: bridgewire.Report, code: str) -> list[Finding]:
    return [f for f in report.findings if f.code == code]


def test_a_rule_of_a_plugin_runs(site: Path, tmp_path: Path) -> None:
    install_rule(site)
    report = check(write_show(tmp_path))
    (finding,) = of(report, "XLK001")
    assert finding.severity is Severity.WARNING
    assert finding.location is not None
    assert finding.location.snippet == 'id = "go"'
    (plugin,) = report.plugins
    assert (plugin.name, plugin.distribution, plugin.version) == (
        "lakeside",
        "lakeside-plugin",
        "1.2",
    )


def test_a_show_may_ignore_it_while_the_plugin_is_there(site: Path, tmp_path: Path) -> None:
    show = write_show(tmp_path, more=IGNORE)
    assert [f.subjects for f in of(check(show), "DOC022")] == [("XLK001",)]
    install_rule(site)
    report = check(show)
    assert [i.reason for i in report.ignored] == ["we are not superstitious"]
    assert of(report, "DOC022") == of(report, "XLK001") == []


@pytest.mark.parametrize("code", ["FIR101", "XLK01", "XL0001", "xlk001", "ABC001"])
def test_codes_outside_the_range(site: Path, tmp_path: Path, code: str) -> None:
    install_rule(site, RULE.replace("XLK001", code))
    found = load_plugins()
    assert found.rules == ()
    (finding,) = found.findings
    assert finding.code == "PLG003"
    assert repr(code) in finding.message
    assert of(check(write_show(tmp_path)), "PLG003") == [finding]


BAD_RULES = {
    "name": (('"unlucky-cue-id"', '"Unlucky Id"'), "is not lower-case words"),
    "our name": (('"unlucky-cue-id"', '"will-not-light"'), "that of a rule of bridgewire"),
    "severity": (("Severity.WARNING)", '"warning")'), "not Severity"),
    "at load": (("Severity.WARNING)", "Severity.WARNING, at_load=True)"), "at_load is for"),
    "page": (("A cue carries the name that nobody wants.", "Unlucky"), "begin with a sentence"),
}


@pytest.mark.parametrize("case", BAD_RULES)
def test_rules_that_are_not_taken(site: Path, case: str) -> None:
    change, words = BAD_RULES[case]
    install_rule(site, RULE.replace(*change))
    found = load_plugins()
    (finding,) = found.findings
    assert finding.code == "PLG002"
    assert words in finding.message
    assert found.rules == ()


BAD_CHECKS = {
    "raises": ("raise KeyError('sluice')", "failed in rule XLK001 (KeyError"),
    "type": ("yield 'unlucky'", "an object of type str, not Finding"),
    "code": ("yield Finding('FIR001', 'bad')", "a finding with the code 'FIR001'"),
    "severity": ("yield Finding('XLK001', 'bad', 'error')", "severity is no Severity"),
    "path": ("yield RULE.finding('bad', ['cue', 0])", "path is not a tuple"),
    "subjects": ("yield RULE.finding('bad', subjects='go')", "subjects are not a tuple"),
    "number": ("yield RULE.finding('bad', measured=float('nan'))", "'measured' is no number"),
    "message": ("yield RULE.finding('')", "texts are no texts"),
    "no generator": ("return 5", "failed in rule XLK001 (TypeError"),
}


@pytest.mark.parametrize("case", BAD_CHECKS)
def test_a_rule_that_goes_wrong_is_a_finding_about_its_plugin(
    site: Path, tmp_path: Path, case: str
) -> None:
    body, words = BAD_CHECKS[case]
    head = "from bridgewire.plugins import Finding, Rule, Severity"
    rule = RULE.replace("from bridgewire.plugins import Rule, Severity", head)
    install_rule(site, rule[: rule.index("    for cue in")] + f"    {body}\n")
    ignore = IGNORE.replace("XLK001", "PLG002")
    report = check(write_show(tmp_path, more=ignore))
    (finding,) = of(report, "PLG002")
    assert words in finding.message
    assert finding.message.startswith("plugin 'lakeside' (lakeside-plugin 1.2) ")
    assert finding.severity is Severity.ERROR
    assert of(report, "DOC017") == []
    loaded = bridgewire.load_show(
        tmp_path / "show.toml", kit_dirs=KIT_DIRS, plugins=load_plugins(allow_broken=True)
    )
    assert of(bridgewire.check(loaded), "PLG002")[0].severity is Severity.WARNING
