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

    Parameters
    ----------
    rule : Rule
        Its code is X, two letters of the plugin's own, and three digits: ``XAB001``.
    check : callable
        Yields findings, made with ``rule.finding(...)``. It must change nothing.
    page : str
        What ``bridgewire explain`` prints: one sentence that ends with a full stop, a blank line,
        and the sections of `bridgewire.plugins.RULE_SECTIONS` in their order.

    Examples
    --------
    >>> from bridgewire.plugins import Severity
    >>> rule = Rule("XAB001", "cue-before-dark", Severity.WARNING)
    >>> def check(context):
    ...     for n, cue in enumerate(context.show.cue):
    ...         if cue.time_s is not None and cue.time_s < 60.0:
    ...             yield rule.finding(f"cue {cue.id!r} is before dark", ("cue", n, "time_s"))
    >>> PluginRule(rule, check, "A cue comes before dark.").rule.code
    'XAB001'
    """

    rule: Rule
    check: CheckFunction
    page: str

    @classmethod
    def from_module(cls, module: ModuleType) -> PluginRule:
        """Make a rule of a module that has ``RULE``, ``check`` and the page as its docstring.

        Parameters
        ----------
        module : module
            Written as the files in ``bridgewire/rules`` are.

        Returns
        -------
        PluginRule
            The page is empty where the module has no docstring.

        Raises
        ------
        AttributeError
            If the module has no ``RULE`` or no ``check``.

        Examples
        --------
        >>> from bridgewire.rules import fir001_will_not_light
        >>> PluginRule.from_module(fir001_will_not_light).rule.name
        'will-not-light'
        """
        return cls(module.RULE, module.check, inspect.cleandoc(module.__doc__ or ""))


@frozen(eq=False)
class ReportWriter:
    """Writes reports in one format.

    Parameters
    ----------
    name : str
        What is asked for by ``bridgewire check --format``: lower-case letters, digits and hyphens.
    write : callable
        From `ReportContext` to the whole output, as text (written in UTF-8) or bytes. It must not
        write files itself.
    title : str
        What it writes, in a few words.

    Examples
    --------
    >>> def write(context):
    ...     return "".join(f"{r.title}: {len(r.cues)} cues\\n" for r in context.reports)
    >>> ReportWriter("cue-count", write, "how many cues each show has").name
    'cue-count'
    """

    name: str
    write: WriteFunction
    title: str = ""
