"""Each plugin loads in its own try; a broken one is a finding with name, version and cause."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from bridgewire.diagnostics import Finding, Severity
from bridgewire.plugins import API_VERSION, load_plugins
from bridgewire.plugins.plugin_set import PluginSet, PluginState
from bridgewire.rules.registry import load_rule
from tests.plugins.distributions import install

MODEL = """
@hookimpl
def bridgewire_igniter_models(context):
    return [IgniterModel("square-law", heating=lambda s: s.x)]
"""


def only(found: PluginSet) -> Finding:
    (finding,) = found.findings
    return finding


def test_no_plugin_needs_no_pluggy(site: Path) -> None:
    found = load_plugins()
    assert found.plugins == ()
    assert found.findings == ()


def test_a_sound_plugin(site: Path) -> None:
    install(site, MODEL)
    found = load_plugins()
    (plugin,) = found.plugins
    assert (plugin.name, plugin.value) == ("lakeside", "lakeside_plugin")
    assert (plugin.distribution, plugin.version) == ("lakeside-plugin", "1.2")
    assert (plugin.state, plugin.api_version) == (PluginState.LOADED, API_VERSION)
    assert plugin.brings == ("igniter model square-law",)
    assert found.findings == ()
    assert list(found.models.igniters) == ["square-law"]


def test_an_entry_point_may_name_an_object(site: Path) -> None:
    source = """
    class Hooks:
        BRIDGEWIRE_API = 1

        @hookimpl
        def bridgewire_igniter_models(self, context):
            return [IgniterModel("square-law", heating=lambda s: s.x)]

    HOOKS = Hooks()
    """
    points = "[bridgewire]\nlakeside = lakeside_plugin:HOOKS\n"
    install(site, source, head="from bridgewire.plugins import *\n", points=points)
    assert list(load_plugins().models.igniters) == ["square-law"]


def test_the_context_is_one_frozen_object(site: Path) -> None:
    source = """
    @hookimpl
    def bridgewire_igniter_models(context):
        assert type(context) is PluginContext
        context.plugin_name = "another"
    """
    install(site, source)
    finding = only(load_plugins())
    assert finding.code == "PLG002"
    assert "FrozenInstanceError" in finding.message


BROKEN = {
    "import": ("import no_such_module_anywhere\n", "cannot be imported (ModuleNotFoundError"),
    "raise": ("raise ValueError('bad day')\n", "cannot be imported (ValueError: bad day)"),
    "exit": ("raise SystemExit(7)\n", "cannot be imported (SystemExit: 7)"),
    "syntax": ("def (:\n", "cannot be imported (SyntaxError"),
    "no hook": ("x = 1\n", "it has no hook"),
    "unknown": (
        "@hookimpl\ndef bridgewire_rulez(context): return []\n",
        "there is no hook 'bridgewire_rulez'; did you mean 'bridgewire_rules'?",
    ),
    "argument": (
        "@hookimpl\ndef bridgewire_rules(context, options): return []\n",
        "options",
    ),
    "unmarked": (
        MODEL + "\ndef bridgewire_rules(context): return []\n",
        "bridgewire_rules is not marked with @hookimpl",
    ),
    "older": (f"BRIDGEWIRE_API = {API_VERSION - 1}\n", f"API version {API_VERSION - 1}, an older"),
    "newer": (f"BRIDGEWIRE_API = {API_VERSION + 1}\n", f"API version {API_VERSION + 1}, a newer"),
    "no version": ("del BRIDGEWIRE_API\n", "states no BRIDGEWIRE_API"),
    "version text": ("BRIDGEWIRE_API = '1'\n", "states no BRIDGEWIRE_API"),
    "version truth": ("BRIDGEWIRE_API = True\n", "states no BRIDGEWIRE_API"),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_plugin_is_a_finding_and_stops_no_other(site: Path, case: str) -> None:
    source, words = BROKEN[case]
    install(site, source, name="reeds", version="0.9")
    install(site, MODEL)
    found = load_plugins()
    finding = only(found)
    assert finding.code == load_rule("PLG001").rule.code
    assert finding.severity is Severity.ERROR
    assert finding.message.startswith("plugin 'reeds' (reeds-plugin 0.9) is not loaded: ")
    assert words in finding.message
    assert (finding.document, finding.subjects) == ("plugins", ("reeds",))
    assert finding.remedy
    states = {p.name: p.state for p in found.plugins}
    assert states == {"lakeside": PluginState.LOADED, "reeds": PluginState.BROKEN}
    assert [p.name for p in found.loaded] == ["lakeside"]
    assert list(found.models.igniters) == ["square-law"]


def test_broken_plugins_may_be_allowed(site: Path) -> None:
    install(site, "raise ValueError('bad day')\n")
    assert only(load_plugins(allow_broken=True)).severity is Severity.WARNING


@pytest.mark.parametrize("value", ["no-module", "a b", "lakeside_plugin:nothing.here"])
def test_an_entry_point_that_names_nothing(site: Path, value: str) -> None:
    install(site, MODEL, points=f"[bridgewire]\nlakeside = {value}\n")
    assert only(load_plugins()).code == "PLG001"


def test_damaged_metadata(site: Path) -> None:
    install(site, MODEL, points="[bridgewire]\nthis is no entry point\n")
    found = load_plugins()
    assert only(found).code == "PLG001"
    assert found.loaded == ()


def test_two_plugins_of_one_name_are_both_left_out(site: Path) -> None:
    for project in ("first", "second"):
        install(
            site, MODEL, project=project, module=f"{project}_plugin",
            points=f"[bridgewire]\nlakeside = {project}_plugin\n",
        )  # fmt: skip
    found = load_plugins()
    assert [f.code for f in found.findings] == ["PLG001", "PLG001"]
    assert found.loaded == ()
    assert "first_plugin" not in sys.modules


@pytest.mark.parametrize(
    ("variable", "loaded"),
    [
        ("", ["lakeside", "reeds"]),
        ("all", ["lakeside", "reeds"]),
        ("none", []),
        ("reeds", ["reeds"]),
        (" reeds , lakeside ", ["lakeside", "reeds"]),
    ],
)
def test_the_environment_chooses(
    site: Path, monkeypatch: pytest.MonkeyPatch, variable: str, loaded: list[str]
) -> None:
    install(site, MODEL)
    install(site, MODEL.replace("square-law", "other-law"), name="reeds")
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", variable)
    found = load_plugins()
    assert [p.name for p in found.loaded] == loaded
    assert [p.name for p in found.plugins] == ["lakeside", "reeds"]
    assert found.findings == ()
    imported = {name for name in ("lakeside_plugin", "reeds_plugin") if name in sys.modules}
    assert imported == {f"{name}_plugin" for name in loaded}


def test_what_the_environment_asks_for_and_is_not_there(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(site, MODEL)
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", "lakesite")
    finding = only(load_plugins())
    assert finding.code == "PLG001"
    assert "'lakesite'" in finding.message
    assert "did you mean 'lakeside'?" in finding.remedy


def test_only_replaces_the_environment(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    install(site, MODEL)
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", "none")
    assert [p.name for p in load_plugins(["lakeside"]).loaded] == ["lakeside"]


WRONG = {
    "raises": ("raise KeyError('sluice')", "failed in bridgewire_igniter_models (KeyError"),
    "type": ("return 5", "gives an object of type int from bridgewire_igniter_models"),
    "text": ("return 'square-law'", "gives an object of type str"),
    "item": ("return ['square-law']", "(entry 0), not IgniterModel"),
    "generator fails": ("return list(1 / 0 for _ in 'a')", "ZeroDivisionError"),
    "name": ("return [IgniterModel('Square Law', heating=abs)]", "'Square Law' is not lower-case"),
    "function": ("return [IgniterModel('slow', heating=3)]", "heating is an object of type int"),
    "optional": (
        "return [IgniterModel('slow', heating=abs, resistance=3)]",
        "resistance is an object of type int",
    ),
    "parameters": (
        "return [IgniterModel('slow', heating=abs, parameters='length')]",
        "parameters is not a tuple of texts",
    ),
    "kind": ("return [SupplyModel('slow', current_A=abs)]", "not IgniterModel"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_answer_is_a_finding_and_the_rest_is_kept(site: Path, case: str) -> None:
    body, words = WRONG[case]
    source = f"""
    @hookimpl
    def bridgewire_igniter_models(context):
        {body}

    @hookimpl
    def bridgewire_supply_models(context):
        return [SupplyModel("mill", current_A=lambda s: s.emf_V - s.output_V)]
    """
    install(site, source)
    found = load_plugins()
    finding = only(found)
    assert finding.code == "PLG002"
    assert finding.message.startswith("plugin 'lakeside' (lakeside-plugin 1.2) ")
    assert words in finding.message
    assert list(found.models.igniters) == []
    assert list(found.models.supplies) == ["mill"]
    assert found.plugins[0].state is PluginState.BROKEN


def test_a_name_that_two_plugins_share_is_used_by_neither(site: Path) -> None:
    install(site, MODEL)
    install(site, MODEL, name="reeds")
    found = load_plugins()
    assert [f.code for f in found.findings] == ["PLG002", "PLG002"]
    assert "'square-law', and so does plugin 'reeds'" in found.findings[0].message
    assert list(found.models.igniters) == []


def test_a_name_that_one_plugin_brings_twice(site: Path) -> None:
    install(site, MODEL.replace("[IgniterModel", "2 * [IgniterModel"))
    found = load_plugins()
    assert "a second time" in only(found).message
    assert list(found.models.igniters) == []
