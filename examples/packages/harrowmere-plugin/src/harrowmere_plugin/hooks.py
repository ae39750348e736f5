"""What bridgewire calls. Each hook imports what it needs when it is asked."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bridgewire.plugins import (
    CueImporter,
    IgniterModel,
    PluginContext,
    PluginRule,
    ReportWriter,
    hookimpl,
)

BRIDGEWIRE_API = 1


@hookimpl
def bridgewire_kits(context: PluginContext) -> Sequence[Path]:
    """The folder of this package's kit profiles."""
    return [Path(__file__).resolve().parent / "profiles"]


@hookimpl
def bridgewire_rules(context: PluginContext) -> Sequence[PluginRule]:
    """The rule about spotters."""
    from harrowmere_plugin import spotter_rule

    return [PluginRule.from_module(spotter_rule)]


@hookimpl
def bridgewire_igniter_models(context: PluginContext) -> Sequence[IgniterModel]:
    """The model of a damp head."""
    from harrowmere_plugin.damp_head import MODEL

    return [MODEL]


@hookimpl
def bridgewire_cue_importers(context: PluginContext) -> Sequence[CueImporter]:
    """The club's cue sheet."""
    from harrowmere_plugin.mere_sheet import IMPORTER

    return [IMPORTER]


@hookimpl
def bridgewire_report_writers(context: PluginContext) -> Sequence[ReportWriter]:
    """The caller's sheet."""
    from harrowmere_plugin.call_sheet import WRITER

    return [WRITER]
