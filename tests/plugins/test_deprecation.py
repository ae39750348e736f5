"""Hooks and what they are given go out of use by a warning. Nothing is deprecated yet, so the
mechanism is tested with names made up here."""

from __future__ import annotations

import warnings
from pathlib import Path

import pytest
from attrs import frozen

from bridgewire.plugins import BridgewireDeprecationWarning, deprecation, load_plugins
from bridgewire.plugins.deprecation import DeprecatedField, Renamed
from bridgewire.plugins.plugin_set import PluginState
from tests.plugins.distributions import install

OLD = """
@hookimpl
def bridgewire_heating_laws(context):
    return [IgniterModel("square-law", heating=lambda s: s.x)]
"""


@pytest.fixture
def renamed(monkeypatch: pytest.MonkeyPatch) -> None:
    new = Renamed("bridgewire_igniter_models", since="0.3", until_api=2)
    monkeypatch.setattr(deprecation, "RENAMED_HOOKS", {"bridgewire_heating_laws": new})


@pytest.mark.usefixtures("renamed")
@pytest.mark.parametrize(
    "source",
    [OLD, OLD.replace("hookimpl\ndef bridgewire_heating_laws",
                      "hookimpl(specname='bridgewire_heating_laws')\ndef laws")],
)  # fmt: skip
def test_an_old_name_of_a_hook_works_and_warns(site: Path, source: str) -> None:
    install(site, source)
    with pytest.warns(BridgewireDeprecationWarning, match="is called bridgewire_igniter_models"):
        found = load_plugins()
    assert list(found.models.igniters) == ["square-law"]
    assert found.findings == ()
    (plugin,) = found.plugins
    assert plugin.state is PluginState.LOADED
    assert plugin.deprecated == (
        "plugin 'lakeside': the hook bridgewire_heating_laws is called bridgewire_igniter_models "
        "since bridgewire 0.3; the old name works until API version 2",
    )


def test_without_the_entry_the_old_name_is_unknown(site: Path) -> None:
    install(site, OLD)
    (finding,) = load_plugins().findings
    assert "there is no hook 'bridgewire_heating_laws'" in finding.message


@pytest.mark.usefixtures("renamed")
def test_the_new_name_does_not_warn(site: Path) -> None:
    install(site, OLD.replace("heating_laws", "igniter_models"))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = load_plugins()
    assert list(found.models.igniters) == ["square-law"]


def test_a_field_of_a_context_that_is_going() -> None:
    @frozen(slots=False)
    class Given:
        plugin_name: str
        name = DeprecatedField(lambda given: given.plugin_name, "plugin_name", 2)  # type: ignore[attr-defined]

    with pytest.warns(BridgewireDeprecationWarning, match=r"Given\.name is going; use plugin_name"):
        assert Given("lakeside").name == "lakeside"
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert Given("lakeside").plugin_name == "lakeside"


def test_every_renamed_hook_leads_to_one_that_is_there() -> None:
    from bridgewire.plugins.hook_calls import HOOKS

    for old, new in deprecation.RENAMED_HOOKS.items():
        assert old not in HOOKS
        assert new.new in HOOKS
