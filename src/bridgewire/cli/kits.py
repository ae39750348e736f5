"""``bridgewire kits``."""

from __future__ import annotations

import sys

import click

from bridgewire.cli.candidates import kit_ids
from bridgewire.cli.kits_compare import compare_command
from bridgewire.cli.kits_new import new_command
from bridgewire.cli.lazy import GuessingGroup
from bridgewire.cli.profile_folders import profile, profile_folders
from bridgewire.cli.terminal import colour_option, ink_for, kit_dir_option, terminal_width


@click.group("kits", cls=GuessingGroup)
def command() -> None:
    """List, show, validate, compare and write kit profiles: boxes, cables, igniter classes.

    Profiles are looked for in the current folder, its folder "kits", --kit-dir, your own folder
    (~/.config/bridgewire/kits), installed packages of profiles, plugins, and those that
    come with bridgewire.
    """


command.add_command(new_command)
command.add_command(compare_command)


@command.command("list")
@kit_dir_option
def list_command(kit_dirs: tuple[str, ...]) -> None:
    """List profiles with their version, title and file."""
    from bridgewire.kits.discovery import list_kits
    from bridgewire.report.kit_page import kits_list

    rows = [
        (kit_id, loaded.kit.version, loaded.kit.title, loaded.document.file)
        for kit_id, loaded in list_kits(profile_folders(kit_dirs)).items()
    ]
    click.echo(kits_list(rows, terminal_width(sys.stdout)), nl=False)


@command.command("show", short_help="Show every value of a profile, with its source.")
@click.argument("kit_id", metavar="ID", shell_complete=kit_ids)
@kit_dir_option
@colour_option
def show_command(kit_id: str, kit_dirs: tuple[str, ...], colour: str) -> None:
    """Show every value of a profile with its tolerance and source, and what follows from it.

    For a profile that extends others, also which file and line each value stands in.
    """
    from bridgewire.authoring.inherited import inherited_text
    from bridgewire.report.kit_page import kit_page

    loaded = profile(kit_id, profile_folders(kit_dirs))
    ink = ink_for(colour, sys.stdout)
    width = min(terminal_width(sys.stdout), 110)
    page = kit_page(loaded.kit, loaded.document.file, width, ink)
    taken = inherited_text(loaded, width)
    click.echo(f"{page}\n{taken}" if taken else page, nl=False, color=ink.colour)


@command.command("validate", short_help="Say what a profile lacks and what looks wrong in it.")
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option(
    "--allow-unchecked",
    is_flag=True,
    help="Exit code 0 also where only single rules lack something.",
)
@colour_option
def validate_command(files: tuple[str, ...], allow_unchecked: bool, colour: str) -> None:
    """Say what is wrong in profiles, what they lack, and what cannot be checked without it.

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
            named = file if len(files) > 1 else ""
            text = problems_text(error.findings, terminal_width(sys.stderr), file=named)
            click.echo(text, nl=False, err=True)
            continue
        found = validate(loaded)
        fails = bool(found.doubts) or any(g.blocks or not allow_unchecked for g in found.gaps)
        code = max(code, int(fails))
        texts.append(gaps_text(loaded.kit, file, found.gaps, found.doubts, width, ink))
    click.echo("\n".join(texts), nl=False, color=ink.colour)
    click.get_current_context().exit(code)
