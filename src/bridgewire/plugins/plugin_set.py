"""What the plugins of a run bring, and what is wrong with them."""

from __future__ import annotations

import enum
from collections.abc import Mapping
from pathlib import Path

from attrs import field, frozen

from bridgewire.diagnostics import Finding
from bridgewire.documents.imported import CueImporter
from bridgewire.physics.laws import Models
from bridgewire.plugins.answers import ReportWriter
from bridgewire.rules.registry import LoadedRule


class PluginState(enum.Enum):
    """Whether a plugin is in use.

    Examples
    --------
    >>> [state.value for state in PluginState]
    ['loaded', 'broken', 'off']
    """

    LOADED = "loaded"
    BROKEN = "broken"
    """It could not be loaded, or something that it brings cannot be used."""
    OFF = "off"
    """Not loaded, as the environment variable ``BRIDGEWIRE_PLUGINS`` asks."""


@frozen
class Plugin:
    """One entry point of the group ``bridgewire``.

    Parameters
    ----------
    name : str
        Of the entry point; by it the plugin is asked for.
    value : str
        What the entry point names: a module, or an object in one.
    distribution, version : str
        The installed package that it belongs to.
    state : PluginState
        Whether it is in use.
    api_version : int, optional
        What the plugin states as ``BRIDGEWIRE_API``; None where it was not loaded that far.
    brings : tuple of str
        ``rule XAB001``, ``igniter model slow-wire`` and so on.
    problems : tuple of str
        What is wrong with it.
    deprecated : tuple of str
        What it uses that will go.

    Examples
    --------
    >>> Plugin("lakeside", "lakeside.hooks", "lakeside-rules", "1.2").state.value
    'off'
    """

    name: str
    value: str
    distribution: str
    version: str
    state: PluginState = PluginState.OFF
    api_version: int | None = None
    brings: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    deprecated: tuple[str, ...] = ()

    def words(self) -> str:
        """Name the plugin for a person.

        Returns
        -------
        str
            With the installed package and its version.

        Examples
        --------
        >>> Plugin("lakeside", "lakeside.hooks", "lakeside-rules", "1.2").words()
        "plugin 'lakeside' (lakeside-rules 1.2)"
        """
        return f"plugin {self.name!r} ({self.distribution} {self.version})"


@frozen(eq=False)
class PluginSet:
    """Everything that plugins bring to a run; without arguments nothing.

    Parameters
    ----------
    plugins : tuple of Plugin
        Every one that is installed, by name.
    findings : tuple of Finding
        What is wrong with them (``PLG001`` to ``PLG003``).
    kits : tuple of Path
        Files and folders of kit profiles.
    models : Models
        Igniter and supply models by name.
    rules : tuple of LoadedRule
        By code.
    importers : mapping of str to CueImporter
        By name, as are the writers.
    writers : mapping of str to ReportWriter
        What ``bridgewire check --format`` can ask for besides its own formats.

    Examples
    --------
    >>> PluginSet().loaded, dict(PluginSet().writers)
    ((), {})
    """

    plugins: tuple[Plugin, ...] = ()
    findings: tuple[Finding, ...] = ()
    kits: tuple[Path, ...] = ()
    models: Models = field(factory=Models)
    rules: tuple[LoadedRule, ...] = ()
    importers: Mapping[str, CueImporter] = field(factory=dict)
    writers: Mapping[str, ReportWriter] = field(factory=dict)

    @property
    def loaded(self) -> tuple[Plugin, ...]:
        """Those in use, whole or in part."""
        return tuple(p for p in self.plugins if p.api_version is not None)
