"""Loads plugins, each in its own try, and gathers what they bring."""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from pathlib import Path
from typing import Any

from attrs import define, evolve, field

from bridgewire.diagnostics import Finding, Severity
from bridgewire.documents.imported import CueImporter
from bridgewire.documents.problems import closest
from bridgewire.physics.laws import IgniterModel, Models, SupplyModel
from bridgewire.plugins import wrappers
from bridgewire.plugins.answers import PluginRule, ReportWriter
from bridgewire.plugins.contexts import PluginContext
from bridgewire.plugins.entry_points import find_plugins, load_object
from bridgewire.plugins.faults import DOCUMENT, NOT_LOADED, UNUSABLE, beside_output, cause, fault
from bridgewire.plugins.guards import guarded_importer, guarded_rule, guarded_writer
from bridgewire.plugins.plugin_set import Plugin, PluginSet, PluginState
from bridgewire.plugins.version import API_VERSION
from bridgewire.rules.registry import load_rule
from bridgewire.version import __version__

VARIABLE = "BRIDGEWIRE_PLUGINS"
"""Environment variable: ``all``, ``none``, or names with commas between."""
API_ATTRIBUTE = "BRIDGEWIRE_API"


def load_plugins(only: Collection[str] | None = None, *, allow_broken: bool = False) -> PluginSet:
    """Load the plugins of installed packages.

    Loading runs the plugins' code. One that is broken becomes a finding and stops nothing.

    Parameters
    ----------
    only : collection of str, optional
        Names of the plugins to load. Where absent the environment variable ``BRIDGEWIRE_PLUGINS``
        decides: ``all`` (as without it), ``none``, or names with commas between.
    allow_broken : bool
        Findings about broken plugins are warnings, not errors.

    Returns
    -------
    PluginSet
        What they bring, and findings about those that are broken.

    Examples
    --------
    >>> load_plugins(only=()).loaded
    ()
    """
    wanted = _wanted_by_environment() if only is None else frozenset(only)
    installed = find_plugins()
    if not installed and not wanted:
        return PluginSet()
    severity = Severity.WARNING if allow_broken else Severity.ERROR
    with beside_output():
        return _Loading(severity).run(installed, wanted)


def _wanted_by_environment() -> frozenset[str] | None:
    stated = os.environ.get(VARIABLE, "").strip()
    if stated.lower() in ("", "all"):
        return None
    if stated.lower() == "none":
        return frozenset()
    return frozenset(name.strip() for name in stated.split(",") if name.strip())


@define(eq=False)
class _Brought:
    """A plugin under way, and what it brings."""

    plugin: Plugin
    problems: list[str] = field(factory=list)
    kits: tuple[Path, ...] = ()
    igniters: tuple[IgniterModel, ...] = ()
    supplies: tuple[SupplyModel, ...] = ()
    rules: tuple[PluginRule, ...] = ()
    importers: tuple[CueImporter, ...] = ()
    writers: tuple[ReportWriter, ...] = ()

    def finished(self) -> Plugin:
        """The plugin with its state."""
        brings = [
            *(f"kit profiles {path}" for path in self.kits),
            *(f"igniter model {m.name}" for m in self.igniters),
            *(f"supply model {m.name}" for m in self.supplies),
            *(f"rule {r.rule.code}" for r in self.rules),
            *(f"cue importer {i.name}" for i in self.importers),
            *(f"report writer {w.name}" for w in self.writers),
        ]
        problems = (*self.plugin.problems, *self.problems)
        state = PluginState.BROKEN if problems else self.plugin.state
        return evolve(self.plugin, state=state, brings=tuple(brings), problems=problems)


class _Loading:
    """One run of loading."""

    def __init__(self, severity: Severity) -> None:
        self.severity = severity
        self.findings: list[Finding] = []

    def run(self, installed: Sequence[Plugin], wanted: frozenset[str] | None) -> PluginSet:
        """Load those wanted and put together what they bring."""
        self._not_installed(installed, wanted or ())
        names = [p.name for p in installed]
        under_way: list[_Brought] = []
        for plugin in installed:
            brought = _Brought(plugin)
            under_way.append(brought)
            if wanted is not None and plugin.name not in wanted:
                continue
            if plugin.problems:
                self._refuse(brought, plugin.problems[0], known=True)
            elif names.count(plugin.name) > 1:
                self._refuse(brought, "another plugin has the same name")
            else:
                self._load(brought)
        return self._together(under_way)

    def _not_installed(self, installed: Sequence[Plugin], wanted: Iterable[str]) -> None:
        names = [p.name for p in installed]
        for name in sorted(set(wanted) - set(names)):
            guess = closest(name, names)
            self.findings.append(
                load_rule(NOT_LOADED).rule.finding(
                    f"there is no plugin {name!r}, which {VARIABLE} asks for",
                    severity=self.severity,
                    document=DOCUMENT,
                    subjects=(name,),
                    remedy="install it, or correct the variable"
                    + (f": did you mean {guess!r}?" if guess else ""),
                )
            )

    def _refuse(self, brought: _Brought, why: str, *, known: bool = False) -> None:
        """Report a plugin that is not loaded."""
        if not known:
            brought.problems.append(why)
        what = f"is not loaded: {why}"
        self.findings.append(fault(NOT_LOADED, brought.plugin, what, self.severity))

    def _note(self, brought: _Brought) -> Callable[[str, str], None]:
        def note(code: str, what: str) -> None:
            brought.problems.append(what)
            self.findings.append(fault(code, brought.plugin, what, self.severity))

        return note

    def _load(self, brought: _Brought) -> None:
        plugin = brought.plugin
        try:
            found = load_object(plugin.value)
        except (Exception, SystemExit) as error:
            self._refuse(brought, f"it cannot be imported ({cause(error)})")
            return
        stated = getattr(found, API_ATTRIBUTE, None)
        if isinstance(stated, bool) or not isinstance(stated, int):
            self._refuse(brought, f"it states no {API_ATTRIBUTE}; this version needs {API_VERSION}")
            return
        if stated != API_VERSION:
            age = "an older" if stated < API_VERSION else "a newer"
            self._refuse(
                brought, f"it is for API version {stated}, {age} one; this is {API_VERSION}"
            )
            return
        from bridgewire.plugins.hook_calls import HookError, PluginHooks

        try:
            hooks = PluginHooks(found, PluginContext(plugin.name, API_VERSION, __version__))
        except HookError as error:
            self._refuse(brought, str(error))
            return
        except (Exception, SystemExit) as error:
            self._refuse(brought, f"its hooks cannot be read ({cause(error)})")
            return
        brought.plugin = evolve(
            plugin, state=PluginState.LOADED, api_version=stated, deprecated=hooks.deprecated
        )
        self._ask(brought, hooks.call)

    def _ask(self, brought: _Brought, call: Callable[[str], object]) -> None:
        note = self._note(brought)
        brought.kits = wrappers.kits(call, note)
        brought.igniters = wrappers.igniter_models(call, note)
        brought.supplies = wrappers.supply_models(call, note)
        brought.rules = wrappers.rules(call, note)
        brought.importers = wrappers.cue_importers(call, note)
        brought.writers = wrappers.report_writers(call, note)

    def _together(self, under_way: Sequence[_Brought]) -> PluginSet:
        own = under_way
        self._drop_shared("igniter model", own, "igniters", _name)
        self._drop_shared("supply model", own, "supplies", _name)
        self._drop_shared("cue importer", own, "importers", _name)
        self._drop_shared("report writer", own, "writers", _name)
        self._drop_shared("rule", own, "rules", lambda r: r.rule.code)
        self._drop_shared("rule", own, "rules", lambda r: r.rule.name)
        rules = [guarded_rule(b.plugin, r, self.severity) for b in own for r in b.rules]
        return PluginSet(
            tuple(b.finished() for b in own),
            tuple(self.findings),
            tuple(dict.fromkeys(path for b in own for path in b.kits)),
            Models(
                {m.name: m for b in own for m in b.igniters},
                {m.name: m for b in own for m in b.supplies},
            ),
            tuple(sorted(rules, key=lambda r: r.rule.code)),
            {i.name: guarded_importer(b.plugin, i) for b in own for i in b.importers},
            {w.name: guarded_writer(b.plugin, w) for b in own for w in b.writers},
        )

    def _drop_shared(
        self, what: str, under_way: Sequence[_Brought], kind: str, key: Callable[[Any], str]
    ) -> None:
        """Take out of what plugins bring all that has a name which occurs twice."""
        owners: dict[str, list[_Brought]] = defaultdict(list)
        for brought in under_way:
            for item in getattr(brought, kind):
                owners[key(item)].append(brought)
        shared = {name: who for name, who in owners.items() if len(who) > 1}
        for brought in under_way:
            mine = getattr(brought, kind)
            for name in dict.fromkeys(key(item) for item in mine if key(item) in shared):
                others = sorted({b.plugin.words() for b in shared[name] if b is not brought})
                whose = "so does " + " and ".join(others) if others else "so a second time"
                what_is_wrong = f"brings the {what} {name!r}, and {whose}; none is used"
                self._note(brought)(UNUSABLE, what_is_wrong)
            setattr(brought, kind, tuple(item for item in mine if key(item) not in shared))


def _name(item: IgniterModel | SupplyModel | CueImporter | ReportWriter) -> str:
    return item.name
