"""The list of plugins for a terminal."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import Protocol

from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import visible, wrap


class ListedPlugin(Protocol):
    """What the list shows of a plugin; ``bridgewire.plugins.Plugin`` is one."""

    @property
    def name(self) -> str:
        """Of the entry point."""

    @property
    def value(self) -> str:
        """What the entry point names."""

    @property
    def distribution(self) -> str:
        """The installed package."""

    @property
    def version(self) -> str:
        """Of the package."""

    @property
    def state(self) -> Enum:
        """Its value is the word shown."""

    @property
    def api_version(self) -> int | None:
        """None where it was not loaded that far."""

    @property
    def brings(self) -> tuple[str, ...]:
        """What it brings."""

    @property
    def deprecated(self) -> tuple[str, ...]:
        """What it uses that will go."""


def plugin_list(
    plugins: Iterable[ListedPlugin], api_version: int, width: int = 80, ink: Ink = PLAIN
) -> str:
    """List plugins, one paragraph each.

    Parameters
    ----------
    plugins : iterable of ListedPlugin
    api_version : int
        Of this bridgewire.
    width : int
    ink : Ink

    Examples
    --------
    >>> print(plugin_list([], 1), end="")
    No plugins are installed. This bridgewire has plugin API version 1.
    """
    paragraphs = [_paragraph(p, width, ink) for p in plugins]
    if not paragraphs:
        return f"No plugins are installed. This bridgewire has plugin API version {api_version}.\n"
    head = [f"Plugin API version {api_version}."]
    return "\n\n".join("\n".join(lines) for lines in [head, *paragraphs]) + "\n"


def _paragraph(plugin: ListedPlugin, width: int, ink: Ink) -> list[str]:
    lines = [f"{ink(visible(plugin.name or '(no name)'), 'bold')}  {plugin.state.value}"]
    api = "not known" if plugin.api_version is None else str(plugin.api_version)
    rows = [
        ("package", f"{plugin.distribution} {plugin.version}".strip()),
        ("module", plugin.value),
        ("API version", api),
        *(("brings", text) for text in plugin.brings),
        *(("will go", text) for text in plugin.deprecated),
    ]
    for name, text in rows:
        lines += wrap(visible(text), width, f"  {name:<12}")
    return lines
