"""``bridgewire plugins``."""

from __future__ import annotations

import sys

import click

from bridgewire.cli.terminal import colour_option, ink_for, terminal_width


@click.command("plugins")
@colour_option
def command(colour: str) -> None:
    """List installed plugins: version, API version, state, what they bring, what is wrong.

    Packages that hold only kit profiles are listed after them; nothing of those is loaded.

    Plugins are code that runs with your rights: listing them loads them. The environment variable
    BRIDGEWIRE_PLUGINS chooses: all (as without it), none, or names with commas between.

    Exit code 1 means that one is broken.
    """
    from bridgewire.kits.packages import kit_packages
    from bridgewire.plugins.manager import load_plugins
    from bridgewire.plugins.version import API_VERSION
    from bridgewire.report.findings_text import findings_lines
    from bridgewire.report.plugin_list import kit_package_list, plugin_list

    ink = ink_for(colour, sys.stdout)
    width = min(terminal_width(sys.stdout), 100)
    found = load_plugins()
    text = plugin_list(found.plugins, API_VERSION, width, ink)
    packages = kit_packages()
    if packages:
        text += "\n" + kit_package_list(packages, width, ink)
    if found.findings:
        lines = findings_lines(found.findings, width=width, everything=True, ink=ink)
        text += "\n" + "\n".join(lines) + "\n"
    click.echo(text, nl=False, color=ink.colour)
    click.get_current_context().exit(1 if found.findings else 0)
