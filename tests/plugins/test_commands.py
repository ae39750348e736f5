"""Plugins on the command line: the list, broken ones, rules' pages, and how long it takes."""

from __future__ import annotations

import json
from importlib.util import find_spec
from pathlib import Path

import jsonschema
import pytest

import bridgewire
from bridgewire.plugins import PluginSet
from tests.cli.running import run_command
from tests.planner.sites import shells, site_text
from tests.plugins.distributions import RULE, install
from tests.plugins.shows import KIT_DIRS, write_kit, write_show

RULES = """
import unlucky

@hookimpl
def bridgewire_rules(context):
    return [PluginRule.from_module(unlucky)]
"""
BRINGS_PROFILES = """
from pathlib import Path

@hookimpl
def bridgewire_kits(context):
    return [Path(__file__).parent / "profiles"]
"""
KIT_DIR = ("--kit-dir", str(KIT_DIRS[0]))


def run(site: Path, *arguments: str, plugins: str = "lakeside,reeds") -> tuple[int, str, str]:
    env = {"PYTHONPATH": str(site), "BRIDGEWIRE_PLUGINS": plugins}
    done = run_command(*arguments, env=env)
    return done.returncode, " ".join(done.stdout.split()), " ".join(done.stderr.split())


@pytest.fixture
def both(site: Path) -> Path:
    """A sound plugin and a broken one."""
    install(site, RULES, files={"unlucky.py": RULE})
    install(site, "raise ValueError('bad day')\n", name="reeds", version="0.9")
    return site


@pytest.fixture
def clean_show(tmp_path: Path) -> str:
    """A show without errors."""
    reading = "supply_V = { min = 11.5, typical = 12, max = 12.2 }\n"
    show = write_show(tmp_path, (reading, ""))
    report = bridgewire.check(bridgewire.load_show(show, kit_dirs=KIT_DIRS, plugins=PluginSet()))
    assert report.worst is not bridgewire.Severity.ERROR, report.findings
    return str(show)


def test_the_list(both: Path) -> None:
    code, out, _ = run(both, "plugins")
    assert code == 1
    assert "lakeside loaded package lakeside-plugin 1.2 module lakeside_plugin" in out
    assert "API version 1 brings rule XLK001" in out
    assert "reeds broken package reeds-plugin 0.9 module reeds_plugin API version not known" in out
    assert "PLG001 plugin 'reeds' (reeds-plugin 0.9) is not loaded: it cannot be imported" in out
    code, out, _ = run(both, "plugins", plugins="lakeside")
    assert code == 0
    assert "reeds off" in out
    code, out, _ = run(both, "plugins", plugins="none")
    assert code == 0
    assert "lakeside off" in out


def test_a_broken_plugin_fails_the_check_unless_it_is_allowed(both: Path, clean_show: str) -> None:
    code, out, _ = run(both, "check", clean_show, *KIT_DIR)
    assert code == 1
    assert "PLG001 plugin 'reeds' (reeds-plugin 0.9) is not loaded" in out
    assert "plugins lakeside (lakeside-plugin 1.2)" in out
    code, out, _ = run(both, "check", clean_show, *KIT_DIR, "--allow-broken-plugins")
    assert code == 0
    assert "PLG001" in out
    code, _, _ = run(both, "check", clean_show, *KIT_DIR, plugins="lakeside")
    assert code == 0


def test_the_json_report_names_plugins(both: Path, clean_show: str) -> None:
    env = {"PYTHONPATH": str(both), "BRIDGEWIRE_PLUGINS": "lakeside,reeds"}
    done = run_command("check", clean_show, *KIT_DIR, "--format", "json", env=env)
    data = json.loads(done.stdout)
    schema = Path(bridgewire.__file__).parent / "schemas" / "report-1.json"
    jsonschema.validate(data, json.loads(schema.read_text(encoding="utf-8")))
    (show,) = data["shows"]
    assert show["plugins"] == [
        {
            "name": "lakeside",
            "distribution": "lakeside-plugin",
            "version": "1.2",
            "api_version": 1,
        }
    ]
    found = {f["code"]: f for f in show["findings"]}
    assert found["PLG001"]["document"] == "plugins"
    assert found["PLG001"]["location"] is None
    assert found["XLK001"]["location"] is not None


def test_a_show_that_cannot_be_read_says_what_is_wrong_with_plugins(
    both: Path, tmp_path: Path
) -> None:
    show = write_show(tmp_path, ('kits = ["bench"]', 'kits = ["reed-bed"]'))
    code, _, err = run(both, "check", str(show), *KIT_DIR)
    assert code == 2
    assert "DOC011" in err
    assert "PLG001" in err


@pytest.mark.parametrize("asked", ["XLK001", "xlk001", "unlucky-cue-id"])
def test_the_page_of_a_plugin_s_rule(both: Path, asked: str) -> None:
    code, out, _ = run(both, "explain", asked)
    assert code == 0
    assert "XLK001 unlucky-cue-id A cue carries the name that nobody wants." in out
    assert "from plugin 'lakeside' (lakeside-plugin 1.2)" in out
    assert "The crew of the lake has had bad luck with it." in out


def test_the_list_of_rules_has_those_of_plugins(both: Path) -> None:
    code, out, _ = run(both, "explain")
    assert code == 0
    assert "XLK: from plugin 'lakeside' (lakeside-plugin 1.2) XLK001 warning" in out
    code, _, err = run(both, "explain", "XLK002")
    assert code == 2
    assert "did you mean XLK001?" in err
    code, _, _ = run(both, "explain", "XLK001", plugins="none")
    assert code == 2


EXAMPLES = Path(__file__).parents[2] / "examples"
SITE = site_text({"hut": (0.0, 0.0), "a": (12.0, 2.0)}, ["hut"], shells("a", 2))


@pytest.mark.parametrize(
    "command",
    [
        ("trace", "SHOW", "go"),
        ("supply", "SHOW"),
        ("odds", "SHOW", "--draws", "100"),
        ("readings", "SHOW", "--template"),
        ("reach", "bench", "--box", "mains", "--class", "match", "--cable", "two", "--count", "1"),
        ("bench", "check", str(EXAMPLES / "bench-evening" / "record.toml")),
        pytest.param(
            ("plan", "SITE", "--seconds", "30", "--workers", "1"),
            marks=pytest.mark.skipif(find_spec("ortools") is None, reason="needs the extra plan"),
        ),
    ],
    ids=lambda command: command[0],
)
def test_what_is_wrong_with_plugins_does_not_stop_other_commands(
    both: Path, clean_show: str, command: tuple[str, ...]
) -> None:
    site = both / "site.toml"
    site.write_text(SITE, encoding="utf-8")
    names = {"SHOW": clean_show, "SITE": str(site)}
    code, out, err = run(both, *(names.get(a, a) for a in command), *KIT_DIR)
    assert code == 0
    assert out
    assert "PLG001" in err
    told = "1 problem with plugins: what they bring may be missing in what follows."
    assert err.count(told) == 1
    assert "nothing was checked" not in err


def test_profiles_of_plugins_can_be_shown_and_compared(site: Path) -> None:
    (site / "profiles").mkdir()
    write_kit(site / "profiles", "lakeside")
    install(site, BRINGS_PROFILES)
    code, out, _ = run(site, "kits", "show", "lakeside", plugins="all")
    assert code == 0
    code, out, err = run(site, "kits", "compare", "lakeside", "generic", plugins="all")
    assert (code, err) == (0, "")
    assert "lakeside" in out
