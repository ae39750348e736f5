"""What hooks give back, besides models (`bridgewire.physics.laws`) and cue importers."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable
from types import ModuleType
from typing import TypeAlias

from attrs import frozen

from bridgewire.diagnostics import Finding
from bridgewire.plugins.contexts import ReportContext
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context

CheckFunction: TypeAlias = Callable[[Context], Iterable[Finding]]
WriteFunction: TypeAlias = Callable[[ReportContext], str | bytes]


@frozen(eq=False)
class PluginRule:
    """A rule from outside.

    Attributes
    ----------
    rule : Rule
        Its code is X, two letters of the plugin's own, and three digits: ``XAB001``.
    check : callable
        Yields findings, made with ``rule.finding(...)``. It must change nothing.
    page : str
        What ``bridgewire explain`` prints: one sentence that ends with a full stop, a blank line,
        and the sections of `bridgewire.plugins.RULE_SECTIONS` in their order.
    """

    rule: Rule
    check: CheckFunction
    page: str

    @classmethod
    def from_module(cls, module: ModuleType) -> PluginRule:
        """Make a rule of a module that has ``RULE``, ``check`` and the page as its docstring.

        Raises
        ------
        AttributeError
            If the module has no ``RULE`` or no ``check``.
        """
        return cls(module.RULE, module.check, inspect.cleandoc(module.__doc__ or ""))


@frozen(eq=False)
class ReportWriter:
    """Writes reports in one format.

    Attributes
    ----------
    name : str
        What is asked for by ``bridgewire check --format``: lower-case letters, digits and hyphens.
    write : callable
        From `ReportContext` to the whole output, as text (written in UTF-8) or bytes. It must not
        write files itself.
    title : str
        What it writes, in a few words.
    """

    name: str
    write: WriteFunction
    title: str = ""
