"""Tests for what you have made yourself: kit profiles, rules, models, importers, report writers.

The functions whose names begin with ``assert_`` raise ``AssertionError`` with words that a person
can act on; they work in any test runner. `bridgewire.testing.pytest_plugin` comes with the package
and adds fixtures to pytest, and with ``pytest --bridgewire`` the show and kit files of a folder as
tests.

Examples
--------
>>> from bridgewire.kits.discovery import shipped_profiles_dir
>>> from bridgewire.testing import check_kit_profile
>>> check_kit_profile(shipped_profiles_dir() / "harrowmere.toml")
[]
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bridgewire.testing.case_files import Expected, RuleCase, rule_cases
    from bridgewire.testing.importers import assert_cue_importer, import_cues
    from bridgewire.testing.kit_profile import assert_kit_conforms, check_kit_profile
    from bridgewire.testing.models import assert_igniter_model, assert_supply_model
    from bridgewire.testing.problems import Problem
    from bridgewire.testing.rule_pages import assert_rule_page
    from bridgewire.testing.rule_trials import assert_rule_case, findings_of_case
    from bridgewire.testing.shows import small_show
    from bridgewire.testing.writers import assert_report_writer

__all__ = [
    "Expected",
    "Problem",
    "RuleCase",
    "assert_cue_importer",
    "assert_igniter_model",
    "assert_kit_conforms",
    "assert_report_writer",
    "assert_rule_case",
    "assert_rule_page",
    "assert_supply_model",
    "check_kit_profile",
    "findings_of_case",
    "import_cues",
    "rule_cases",
    "small_show",
]

_HOMES = {
    "Expected": "case_files",
    "Problem": "problems",
    "RuleCase": "case_files",
    "assert_cue_importer": "importers",
    "assert_igniter_model": "models",
    "assert_kit_conforms": "kit_profile",
    "assert_report_writer": "writers",
    "assert_rule_case": "rule_trials",
    "assert_rule_page": "rule_pages",
    "assert_supply_model": "models",
    "check_kit_profile": "kit_profile",
    "findings_of_case": "rule_trials",
    "import_cues": "importers",
    "rule_cases": "case_files",
    "small_show": "shows",
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first used: every run of pytest imports this module."""
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(f"{__name__}.{home}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
