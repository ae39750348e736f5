"""Everything that a code plugin needs. A plugin is code that runs with the user's rights.

Examples
--------
>>> from bridgewire.plugins import hookimpl, IgniterModel
>>> BRIDGEWIRE_API = 1
>>> @hookimpl
... def bridgewire_igniter_models(context):
...     return [IgniterModel("square-law", heating=lambda s: (s.current_A / s.threshold_A) ** 2)]
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bridgewire.plugins.version import API_VERSION

if TYPE_CHECKING:
    from bridgewire.diagnostics import Finding, Severity
    from bridgewire.documents.imported import (
        CueImportContext,
        CueImporter,
        ImportedCue,
        ImportProblem,
    )
    from bridgewire.physics.laws import BridgeState, IgniterModel, SupplyModel, SupplyState
    from bridgewire.plugins.answers import PluginRule, ReportWriter
    from bridgewire.plugins.contexts import PluginContext, ReportContext
    from bridgewire.plugins.deprecation import BridgewireDeprecationWarning
    from bridgewire.plugins.hookspecs import hookimpl
    from bridgewire.plugins.manager import load_plugins
    from bridgewire.plugins.plugin_set import Plugin, PluginSet, PluginState
    from bridgewire.rules.base import SECTIONS as RULE_SECTIONS
    from bridgewire.rules.base import Rule
    from bridgewire.rules.context import Context

__all__ = [
    "API_VERSION",
    "RULE_SECTIONS",
    "BridgeState",
    "BridgewireDeprecationWarning",
    "Context",
    "CueImportContext",
    "CueImporter",
    "Finding",
    "IgniterModel",
    "ImportProblem",
    "ImportedCue",
    "Plugin",
    "PluginContext",
    "PluginRule",
    "PluginSet",
    "PluginState",
    "ReportContext",
    "ReportWriter",
    "Rule",
    "Severity",
    "SupplyModel",
    "SupplyState",
    "hookimpl",
    "load_plugins",
]

_HOMES = {
    "BridgeState": "bridgewire.physics.laws",
    "BridgewireDeprecationWarning": "bridgewire.plugins.deprecation",
    "Context": "bridgewire.rules.context",
    "CueImportContext": "bridgewire.documents.imported",
    "CueImporter": "bridgewire.documents.imported",
    "Finding": "bridgewire.diagnostics",
    "IgniterModel": "bridgewire.physics.laws",
    "ImportProblem": "bridgewire.documents.imported",
    "ImportedCue": "bridgewire.documents.imported",
    "Plugin": "bridgewire.plugins.plugin_set",
    "PluginContext": "bridgewire.plugins.contexts",
    "PluginRule": "bridgewire.plugins.answers",
    "PluginSet": "bridgewire.plugins.plugin_set",
    "PluginState": "bridgewire.plugins.plugin_set",
    "RULE_SECTIONS": "bridgewire.rules.base:SECTIONS",
    "ReportContext": "bridgewire.plugins.contexts",
    "ReportWriter": "bridgewire.plugins.answers",
    "Rule": "bridgewire.rules.base",
    "Severity": "bridgewire.diagnostics",
    "SupplyModel": "bridgewire.physics.laws",
    "SupplyState": "bridgewire.physics.laws",
    "hookimpl": "bridgewire.plugins.hookspecs",
    "load_plugins": "bridgewire.plugins.manager",
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first used: looking for plugins must cost next to nothing."""
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    module, _, attribute = home.partition(":")
    value = getattr(import_module(module), attribute or name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
