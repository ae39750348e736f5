"""Every hook has a test, a heading with its exact arguments in the documentation, and a wrapper."""

from __future__ import annotations

import inspect
import typing
from pathlib import Path

import pytest

import bridgewire.plugins
from bridgewire.plugins import PluginContext, hookspecs, wrappers
from bridgewire.plugins.hook_calls import HOOKS
from tests.docs.page_tools import DOCS, script

HERE = Path(__file__).parent
REFERENCE = script("make_hook_reference")
each_hook = pytest.mark.parametrize("hook", HOOKS)


def test_there_are_hooks() -> None:
    assert len(HOOKS) >= 6
    assert all(name.startswith("bridgewire_") for name in HOOKS)


@each_hook
def test_a_test_file_is_named_after_the_hook(hook: str) -> None:
    file = HERE / f"test_{hook}.py"
    text = file.read_text(encoding="utf-8")
    assert f"def {hook}(context" in text
    assert "\ndef test_" in text


@each_hook
def test_the_documentation_has_a_heading_with_its_exact_arguments(hook: str) -> None:
    signature = str(inspect.signature(getattr(hookspecs, hook))).replace("'", "")
    lines = (DOCS / "plugins.md").read_text(encoding="utf-8").splitlines()
    assert lines.count(f"#### `{hook}{signature}`") == 1


@each_hook
def test_it_takes_one_frozen_context(hook: str) -> None:
    hints = typing.get_type_hints(getattr(hookspecs, hook))
    assert hints["context"] is PluginContext
    assert set(hints) == {"context", "return"}


@each_hook
def test_a_typed_wrapper_gives_a_tuple_of_what_the_hook_gives(hook: str) -> None:
    wrapper = getattr(wrappers, hook.removeprefix("bridgewire_"))
    gives = typing.get_type_hints(wrapper)["return"]
    (item,) = typing.get_args(typing.get_type_hints(getattr(hookspecs, hook))["return"])
    assert typing.get_origin(gives) is tuple
    assert typing.get_args(gives) == (item, ...)


@each_hook
def test_its_wrapper_is_used(hook: str) -> None:
    manager = Path(bridgewire.plugins.__file__).parent / "manager.py"
    assert f"wrappers.{hook.removeprefix('bridgewire_')}(" in manager.read_text(encoding="utf-8")


def test_no_wrapper_is_for_a_hook_that_is_not_there() -> None:
    found = {
        name
        for name, member in vars(wrappers).items()
        if inspect.isfunction(member)
        and member.__module__ == wrappers.__name__
        and not name.startswith("_")
    }
    assert found == {hook.removeprefix("bridgewire_") for hook in HOOKS}


def test_the_reference_is_not_stale() -> None:
    stored = (DOCS / "plugins.md").read_text(encoding="utf-8")
    assert stored == REFERENCE.page_text(stored), "run: python docs/make_hook_reference.py"


def test_the_reference_has_every_public_class_that_goes_in_or_out() -> None:
    described = {name for names in REFERENCE.CLASSES.values() for name in names}
    for name in described:
        assert name in bridgewire.plugins.__all__
    classes = {
        n for n in bridgewire.plugins.__all__ if inspect.isclass(getattr(bridgewire.plugins, n))
    }
    elsewhere = {"BridgewireDeprecationWarning", "Plugin", "PluginSet", "PluginState", "Severity"}
    assert classes == described | elsewhere
