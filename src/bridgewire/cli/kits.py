"""``bridgewire kits``."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import kit_ids
from bridgewire.cli.kits_compare import compare_command
from bridgewire.cli.kits_new import new_command
from bridgewire.cli.terminal import colour_option, ink_for, kit_dir_option, terminal_width

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path


@click.group("kits")
def command() -> None:
    """List, show, validate, compare and write kit profiles: boxes, cables, igniter classes.

    Profiles are looked for in the current folder, its folder "kits", --kit-dir, your own folder
    (~/.config/bridgewire/kits), installed packages of profiles, plugins, and those that
    come with bridgewire.
    """


command.add_command(new_command)
command.add_command(compare_command)


def _folders(kit_dirs: Sequence[str]) -> tuple[Path, ...]:
    from pathlib import Path

    from bridgewire.kits.discovery import kit_folders
    from bridgewire.plugins import load_plugins

    folders = kit_folders(Path.cwd() / "show", [Path(d) for d in kit_dirs])
    return (*folders, *load_plugins().kits)


@command.command("list")
@kit_dir_option
def list_command(kit_dirs: tuple[str, ...]) -> None:
    """List profiles with their version, title and file."""
    from bridgewire.kits.discovery import list_kits
    from bridgewire.report.kit_page import kits_list

    rows = [
        (kit_id, loaded.kit.version, loaded.kit.title, loaded.document.file)
        for kit_id, loaded in list_kits(_folders(kit_dirs)).items()
    ]
    click.echo(kits_list(rows, terminal_width(sys.stdout)), nl=False)


@command.command("show")
@click.argument("kit_id", metavar="ID", shell_complete=kit_ids)
@kit_dir_option
@colour_option
def show_command(kit_id: str, kit_dirs: tuple[str, ...], colour: str) -> None:
    """Show every value of a profile with its tolerance and source, and what follows from it.

    For a profile that extends others, also which file and line each value stands in.
    """
    from bridgewire.authoring.inherited import inherited_text
    from bridgewire.kits.discovery import find_kits
    from bridgewire.report.kit_page import kit_page

    loaded = find_kits([kit_id], _folders(kit_dirs))[kit_id]
    ink = ink_for(colour, sys.stdout)
    width = min(terminal_width(sys.stdout), 110)
    page = kit_page(loaded.kit, loaded.document.file, width, ink)
    taken = inherited_text(loaded, width)
    click.echo(f"{page}\n{taken}" if taken else page, nl=False, color=ink.colour)


@command.command("validate")
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@colour_option
def validate_command(files: tuple[str, ...], colour: str) -> None:
    """Check profiles: shape, what is missing and what that keeps from being checked.

    Exit code 0: complete and plausible; 1: something is missing or hardly right; 2: a file cannot
    be used.
    """
    from pathlib import Path

    from bridgewire.authoring.validation import validate
    from bridgewire.errors import InputError
    from bridgewire.kits.discovery import load_kit_file
    from bridgewire.report.kit_page import gaps_text
    from bridgewire.report.problems import problems_text

    ink = ink_for(colour, sys.stdout)
    width = min(terminal_width(sys.stdout), 110)
    code = 0
    texts: list[str] = []
    for file in files:
        try:
            loaded = load_kit_file(Path(file))
        except InputError as error:
            code = 2
            text = problems_text(error.findings, terminal_width(sys.stderr))
            click.echo(text, nl=False, err=True)
            continue
        found = validate(loaded)
        code = max(code, 0 if found.clean else 1)
        texts.append(gaps_text(loaded.kit, file, found.gaps, found.doubts, width, ink))
    click.echo("\n".join(texts), nl=False, color=ink.colour)
    click.get_current_context().exit(code)
