"""The list of plugins for a terminal."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from pathlib import Path
from typing import Protocol

from bridgewire.report.contents import Installed
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import visible, wrap


class ListedPlugin(Installed, Protocol):
    """What the list shows of a plugin; ``bridgewire.plugins.Plugin`` is one."""

    @property
    def value(self) -> str:
        """What the entry point names."""

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


class ListedPackage(Installed, Protocol):
    """A package of kit profiles; ``bridgewire.kits.packages.KitPackage`` is one."""

    @property
    def folder(self) -> Path | None:
        """Where the profiles are."""

    @property
    def problem(self) -> str:
        """Why they cannot be found."""


def kit_package_list(packages: Iterable[ListedPackage], width: int = 80, ink: Ink = PLAIN) -> str:
    """List packages that hold only kit profiles, one paragraph each.

    Parameters
    ----------
    packages : iterable of ListedPackage
    width : int
    ink : Ink
    """
    paragraphs = [["Packages of kit profiles (data only)."]]
    for package in packages:
        lines = [f"{ink(visible(package.name or '(no name)'), 'bold')}  data"]
        where = package.problem or str(package.folder)
        for name, text in (
            ("package", f"{package.distribution} {package.version}".strip()),
            ("problem" if package.problem else "folder", where),
        ):
            lines += wrap(visible(text), width, f"  {name:<12}")
        paragraphs.append(lines)
    return "\n\n".join("\n".join(lines) for lines in paragraphs) + "\n"


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
