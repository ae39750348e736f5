"""The hooks: every function that a plugin may have. All of them are optional."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pluggy

from bridgewire.documents.imported import CueImporter
from bridgewire.physics.laws import IgniterModel, SupplyModel
from bridgewire.plugins.answers import PluginRule, ReportWriter
from bridgewire.plugins.contexts import PluginContext

PROJECT = "bridgewire"
hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)
"""Marks a plugin's functions that are hooks."""


@hookspec
def bridgewire_kits(context: PluginContext) -> Sequence[Path]:
    """Kit profiles as data: files, or folders that hold them.

    A package that brings profiles and nothing else needs no hook: an entry point of the group
    ``bridgewire.kits`` is enough, and nothing of the package is imported then.

    Parameters
    ----------
    context : PluginContext

    Returns
    -------
    sequence of Path
        Each must exist. Found after the user's own folders and before the shipped profiles.
    """
    raise NotImplementedError


@hookspec
def bridgewire_igniter_models(context: PluginContext) -> Sequence[IgniterModel]:
    """Heating laws and states after firing, for igniter classes that name them as ``model``.

    Parameters
    ----------
    context : PluginContext

    Returns
    -------
    sequence of IgniterModel
        A name that two plugins share is used by neither.
    """
    raise NotImplementedError


@hookspec
def bridgewire_supply_models(context: PluginContext) -> Sequence[SupplyModel]:
    """Laws of supplies, for boxes whose supply has ``kind = "model"`` and names them.

    Parameters
    ----------
    context : PluginContext

    Returns
    -------
    sequence of SupplyModel
        A name that two plugins share is used by neither.
    """
    raise NotImplementedError


@hookspec
def bridgewire_rules(context: PluginContext) -> Sequence[PluginRule]:
    """Rules that run beside those of bridgewire.

    Parameters
    ----------
    context : PluginContext

    Returns
    -------
    sequence of PluginRule
        With codes from ``XAA001`` to ``XZZ999``. A code that two plugins share is used by neither.
    """
    raise NotImplementedError


@hookspec
def bridgewire_cue_importers(context: PluginContext) -> Sequence[CueImporter]:
    """Readers of cue lists, for shows that name them as ``cue_list.importer``.

    Parameters
    ----------
    context : PluginContext

    Returns
    -------
    sequence of CueImporter
        A name that two plugins share is used by neither.
    """
    raise NotImplementedError


@hookspec
def bridgewire_report_writers(context: PluginContext) -> Sequence[ReportWriter]:
    """Writers of reports, for ``bridgewire check --format NAME``.

    Parameters
    ----------
    context : PluginContext

    Returns
    -------
    sequence of ReportWriter
        A name that two plugins share is used by neither; bridgewire's own names are taken.
    """
    raise NotImplementedError
