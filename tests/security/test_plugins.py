"""Packages of others that misbehave: what is held off, and data-only packages that reach outside.

A plugin is code and runs with the rights of whoever runs bridgewire; what it does on purpose
cannot be held off. These tests are about what goes wrong in it and about what it says.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bridgewire.cli.main import run
from bridgewire.kits.packages import kit_packages
from bridgewire.plugins import load_plugins
from tests.kits.test_entry_points import dist
from tests.plugins.conftest import site
from tests.plugins.distributions import RULE_PAGE, install
from tests.plugins.shows import KIT_DIRS, write_show

__all__ = ["site"]

HOOKS = (
    "bridgewire_igniter_models",
    "bridgewire_supply_models",
    "bridgewire_rules",
    "bridgewire_kits",
    "bridgewire_cue_importers",
    "bridgewire_report_writers",
)
RULE = """
import bad_rule

@hookimpl
def bridgewire_rules(context):
    rule = Rule("XLK001", "unwanted-name", Severity.WARNING)
    return [PluginRule(rule=rule, page=bad_rule.__doc__, check=bad_rule.check)]
"""


def check_json(
    show: Path, capsys: pytest.CaptureFixture[str]
) -> tuple[int, dict[str, object], str]:
    capsys.readouterr()
    kits = [word for folder in KIT_DIRS for word in ("--kit-dir", str(folder))]
    code = run(["check", str(show), *kits, "--format", "json"])
    said = capsys.readouterr()
    return code, json.loads(said.out), said.err


@pytest.mark.parametrize("hook", HOOKS)
@pytest.mark.parametrize("how", ["raise SystemExit(0)", "import sys; sys.exit()", "1 / 0",
                                 "def f(): return f()\n        return f()",
                                 "raise MemoryError"])  # fmt: skip
def test_a_hook_that_ends_the_program_is_a_finding(site: Path, hook: str, how: str) -> None:
    install(site, f"""
    @hookimpl
    def {hook}(context):
        {how}
    """)  # fmt: skip
    found = load_plugins()
    assert [f.code for f in found.findings] == ["PLG002"]
    assert hook in found.findings[0].message


@pytest.mark.parametrize("body", ["raise SystemExit(0)", "import sys; sys.exit()", "1 / 0"])
def test_a_rule_that_ends_the_program_fails_the_check(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], body: str
) -> None:
    rule = f"def check(context):\n    {body}\n    yield\n"
    install(site, RULE, files={"bad_rule.py": RULE_PAGE + rule})
    code, report, _ = check_json(write_show(tmp_path), capsys)
    assert code == 1
    assert "PLG002" in json.dumps(report)


def test_what_a_plugin_prints_does_not_get_into_a_report(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rule = 'def check(context):\n    print("in the rule")\n    yield from ()\n'
    source = 'print("at import", "x" * 1_000_000)\n' + RULE
    install(site, source, files={"bad_rule.py": RULE_PAGE + rule})
    _, report, said = check_json(write_show(tmp_path), capsys)
    assert report["format"] == 1
    assert "at import" in said
    assert "in the rule" in said


def test_words_of_a_plugin_cannot_drive_a_terminal(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    install(site, 'raise ValueError("\\x1b]0;owned\\x07\\u202e\\r\\n::error::x")\n')
    for line in (["plugins"], ["check", str(write_show(tmp_path))]):
        capsys.readouterr()
        run(line)
        said = capsys.readouterr()
        text = said.out + said.err
        assert "owned" in text
        assert all(c.isprintable() or c in "\n\xa0" for c in text)
        assert not any(part.lstrip().startswith("::") for part in text.splitlines())


def test_names_of_entry_points_cannot_drive_a_terminal(
    site: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    install(site, points="[bridgewire]\n\x1b[31m\u202ename = lakeside_plugin\n")
    run(["plugins"])
    said = capsys.readouterr()
    assert all(c.isprintable() or c in "\n\xa0" for c in said.out + said.err)


def test_no_plugin_is_loaded_where_that_is_asked(
    site: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    mark = tmp_path / "mark"
    install(site, f"open({str(mark)!r}, 'w')\n")
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", "none")
    run(["check", str(write_show(tmp_path))])
    assert not mark.exists()


@pytest.mark.parametrize(
    "value", ["../outside", "..", ".", "/etc", "a/../..", "a..b", "a.b/../c", "a\\..", "a b", ""]
)
def test_data_packages_cannot_point_outside(site: Path, value: str) -> None:
    outside = site.parent / "outside"
    outside.mkdir()
    (outside / "kit.toml").write_text('format = 1\nid = "outside"\n', encoding="utf-8")
    dist(site, value=value)
    for package in kit_packages():
        assert package.folder is None or package.folder.is_relative_to(site)
        assert package.folder is not None or package.problem or package.value != value


def test_lists_of_installed_files_cannot_point_outside(site: Path) -> None:
    outside = site.parent / "lakeside_kits"
    outside.mkdir()
    (outside / "kit.toml").write_text('format = 1\nid = "outside"\n', encoding="utf-8")
    dist(site)
    record = next(site.glob("*.dist-info")) / "RECORD"
    record.write_text("../lakeside_kits/kit.toml,,\n/etc/kit.toml,,\n", encoding="utf-8")
    for package in kit_packages():
        assert package.folder is None or package.folder.is_relative_to(site)


def test_kits_of_data_packages_import_nothing(site: Path, tmp_path: Path) -> None:
    dist(site, kit='format = 1\nid = "lakeside"\ntitle = "\\u001b[31m"\n')
    assert [p.folder for p in kit_packages() if p.name == "lakeside"] == [site / "lakeside_kits"]
