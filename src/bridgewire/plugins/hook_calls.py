"""One plugin's hooks, called through pluggy."""

from __future__ import annotations

import inspect
from typing import Any

import pluggy

from bridgewire.documents.problems import closest
from bridgewire.plugins import deprecation, hookspecs
from bridgewire.plugins.contexts import PluginContext
from bridgewire.plugins.hookspecs import PROJECT

HOOKS = tuple(name for name in vars(hookspecs) if name.startswith(f"{PROJECT}_"))
"""Names of all hooks, in the order of their file."""


class HookError(Exception):
    """A plugin's hooks do not fit; the text says why."""


class PluginHooks:
    """The hooks of one plugin. Each plugin has a manager of its own, so that none gets in the way
    of another and everything that happens is known to be its doing.

    Parameters
    ----------
    plugin : object
        A module, or an object with hooks as methods.
    context : PluginContext

    Raises
    ------
    HookError
        If it has a hook that is none of ours or takes what no hook is given, or no hook at all.
    """

    def __init__(self, plugin: object, context: PluginContext) -> None:
        self._context = context
        self._manager = _Manager(context.plugin_name)
        self._manager.add_hookspecs(hookspecs)
        try:
            self._manager.register(plugin, context.plugin_name)
        except pluggy.PluginValidationError as error:
            raise HookError(" ".join(str(error).split())) from error
        callers = self._manager.get_hookcallers(plugin) or []
        for caller in callers:
            if not caller.has_spec():
                guess = closest(caller.name, HOOKS)
                hint = f"; did you mean {guess!r}?" if guess else ""
                raise HookError(f"there is no hook {caller.name!r}{hint}")
        unmarked = [name for name in HOOKS if _is_unmarked(getattr(plugin, name, None))]
        if unmarked:
            raise HookError(f"{unmarked[0]} is not marked with @hookimpl, so it is no hook")
        if not callers:
            raise HookError(
                "it has no hook, that is, no function such as bridgewire_rules marked @hookimpl"
            )

    @property
    def deprecated(self) -> tuple[str, ...]:
        """What the plugin uses that will go."""
        return tuple(self._manager.deprecated)

    def call(self, hook: str) -> Any:
        """Call a hook; None where the plugin does not have it."""
        answers = getattr(self._manager.hook, hook)(context=self._context)
        return answers[0] if answers else None


def _is_unmarked(found: object) -> bool:
    marks = (f"{PROJECT}_impl", f"{PROJECT}_spec")
    return inspect.isroutine(found) and not any(hasattr(found, mark) for mark in marks)


class _Manager(pluggy.PluginManager):
    """Takes hooks under their old names, too, and warns."""

    def __init__(self, plugin_name: str) -> None:
        super().__init__(PROJECT)
        self._plugin_name = plugin_name
        self.deprecated: list[str] = []

    def parse_hookimpl_opts(self, plugin: object, name: str) -> pluggy.HookimplOpts | None:
        opts = super().parse_hookimpl_opts(plugin, name)
        if opts is None:
            return None
        stated = opts["specname"] or name
        renamed = deprecation.RENAMED_HOOKS.get(stated)
        if renamed is not None:
            opts["specname"] = renamed.new
            text = renamed.words(stated, self._plugin_name)
            self.deprecated.append(text)
            deprecation.warn(text)
        return opts
