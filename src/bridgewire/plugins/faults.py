"""What is wrong with a plugin, as findings that name the plugin, its version and the cause."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterator
from typing import TypeAlias

from bridgewire.diagnostics import Finding, Severity
from bridgewire.plugins.plugin_set import Plugin
from bridgewire.rules.registry import load_rule

DOCUMENT = "plugins"
"""The ``document`` of findings about plugins: they stand in no file of the show."""
NOT_LOADED, UNUSABLE, OUT_OF_RANGE = "PLG001", "PLG002", "PLG003"

Report: TypeAlias = Callable[[Finding], None]


def fault(
    code: str, plugin: Plugin, what: str, severity: Severity = Severity.ERROR, remedy: str = ""
) -> Finding:
    """Make a finding about a plugin.

    Parameters
    ----------
    code : str
        ``PLG001`` to ``PLG003``.
    plugin : Plugin
    what : str
        Goes after the plugin's name and version.
    severity : Severity
    remedy : str
        What its user can do; the usual advice where absent.
    """
    usual = (
        f"report it to whoever wrote {plugin.distribution}, install another version, or leave it "
        f"out with BRIDGEWIRE_PLUGINS"
    )
    return load_rule(code).rule.finding(
        f"{plugin.words()} {what}",
        severity=severity,
        document=DOCUMENT,
        subjects=(plugin.name,),
        remedy=remedy or usual,
    )


@contextlib.contextmanager
def beside_output() -> Iterator[None]:
    """Send what a plugin prints to standard error: standard output may be a report."""
    with contextlib.redirect_stdout(sys.stderr):
        yield


def cause(error: BaseException) -> str:
    """Say what an exception says, in one line.

    >>> cause(ZeroDivisionError("by zero"))
    'ZeroDivisionError: by zero'
    """
    text = " ".join(str(error).split())
    name = type(error).__name__
    return f"{name}: {text[:300]}" if text else name
