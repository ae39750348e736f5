"""``bridgewire kits compare``."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import kit_ids
from bridgewire.cli.profile_folders import profile, profile_folders
from bridgewire.cli.terminal import kit_dir_option, terminal_width

if TYPE_CHECKING:
    from bridgewire.kits.discovery import LoadedKit


@click.command("compare")
@click.argument("first", metavar="A", shell_complete=kit_ids)
@click.argument("second", metavar="B", shell_complete=kit_ids)
@kit_dir_option
@click.option("--all", "everything", is_flag=True, help="Show values that are the same, too.")
@click.option("--origins", is_flag=True, help="Show where each value is written and its source.")
def compare_command(
    first: str, second: str, kit_dirs: tuple[str, ...], everything: bool, origins: bool
) -> None:
    """Compare two profiles, entry by entry and value by value.

    A and B are ids of profiles, or files. Shows both values with their units, the ratio of the
    typical ones (B over A), and whether the bands overlap.
    """
    from bridgewire.authoring.comparison import compare, comparison_text

    found = compare(_loaded(first, kit_dirs), _loaded(second, kit_dirs))
    width = min(max(terminal_width(sys.stdout), 80), 140)
    click.echo(comparison_text(found, width, everything=everything, origins=origins), nl=False)


def _loaded(name: str, kit_dirs: tuple[str, ...]) -> LoadedKit:
    from pathlib import Path

    from bridgewire.kits.discovery import load_kit_file

    folders = profile_folders(kit_dirs)
    if Path(name).suffix.lower() in (".toml", ".yaml", ".yml", ".json"):
        return load_kit_file(Path(name), (Path(name).parent, *folders))
    return profile(name, folders)
