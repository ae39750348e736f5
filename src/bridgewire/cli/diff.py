"""``bridgewire diff``."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.terminal import (
    allow_broken_option,
    colour_option,
    kit_dir_option,
    output_option,
    progress,
    text_look,
    today_option,
    width_option,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bridgewire.api import Report
    from bridgewire.diagnostics import Finding
    from bridgewire.plugins.plugin_set import PluginSet
    from bridgewire.report.diff_run import RunDiff


@click.command("diff")
@click.argument("old", metavar="OLD", shell_complete=show_files)
@click.argument("new", metavar="NEW", shell_complete=show_files)
@kit_dir_option
@click.option(
    "--old-kit-dir",
    "old_kit_dirs",
    multiple=True,
    type=click.Path(exists=True, file_okay=False),
    metavar="DIR",
    help="A folder with the kit profiles of OLD. May be given several times. Where absent, "
    "--kit-dir is for both; else it is for NEW only.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "markdown", "json"]),
    default="text",
    show_default=True,
    help="How to write it; markdown is for a comment on a pull request.",
)
@click.option(
    "--fail-on-worse",
    is_flag=True,
    help="Exit code 1 where a verdict got worse, or a new cue or igniter is not sure.",
)
@today_option
@allow_broken_option
@colour_option
@width_option
@output_option
def command(
    old: str,
    new: str,
    kit_dirs: tuple[str, ...],
    old_kit_dirs: tuple[str, ...],
    form: str,
    fail_on_worse: bool,
    today: datetime.date | None,
    allow_broken: bool,
    colour: str,
    width: int | None,
    output: str | None,
) -> None:
    """Say what changed between two revisions of a show, or of a folder of shows.

    Both are computed. Verdicts come first, those that got worse at the top; then cues, margins and
    light times, findings and kit profiles. Shows in two folders are matched by their path in them.

    A margin or a light time is listed where it moved by more than 5 % (light times also by more
    than 1 ms). Exit code 2 means that a file could not be used.
    """
    from bridgewire.cli.output import refuse_bad_targets, write_output
    from bridgewire.plugins.manager import load_plugins

    refuse_bad_targets([output] if output else [], [old, new])
    plugins = load_plugins(allow_broken=allow_broken)
    run = _compared(old, new, (old_kit_dirs or kit_dirs, kit_dirs), plugins, today)
    columns, ink = text_look(output, colour, width)
    if form == "json":
        from bridgewire import __version__
        from bridgewire.report.diff_json import diff_json

        written = diff_json(run, __version__)
    elif form == "markdown":
        from bridgewire.report.diff_markdown import diff_markdown

        written = diff_markdown(run)
    else:
        from bridgewire.report.diff_text import diff_text

        written = diff_text(run, columns, ink)
    write_output(written, output, ink.colour)
    click.get_current_context().exit(1 if fail_on_worse and run.got_worse else 0)


def _compared(
    old: str,
    new: str,
    kit_dirs: tuple[Sequence[str], Sequence[str]],
    plugins: PluginSet,
    today: datetime.date | None,
) -> RunDiff:
    """Check both revisions and compare them.

    Raises
    ------
    InputError
        With the problems of every file that could not be used.
    """
    from bridgewire.errors import InputError
    from bridgewire.report.diff_run import RunDiff
    from bridgewire.report.show_diff import show_diff

    befores, afters = _sides(old, new)
    problems: list[Finding] = []
    reports: list[dict[str, Report]] = []
    for files, folders in zip((befores, afters), kit_dirs, strict=True):
        side: dict[str, Report] = {}
        for name, file in files.items():
            try:
                side[name] = _checked(file, folders, plugins, today)
            except InputError as error:
                problems += error.findings
        reports.append(side)
    if problems:
        raise InputError(tuple(problems))
    before, after = reports
    return RunDiff(
        tuple(show_diff(before[name], after[name]) for name in after if name in before),
        tuple(after[name] for name in after if name not in before),
        tuple(befores[name] for name in before if name not in after),
    )


def _checked(
    file: str, kit_dirs: Sequence[str], plugins: PluginSet, today: datetime.date | None
) -> Report:
    from bridgewire.api import check, load_show

    loaded = load_show(file, kit_dirs=kit_dirs, plugins=plugins)
    with progress(loaded.show.title) as step:
        return check(loaded, progress=step, today=today)


def _sides(old: str, new: str) -> tuple[dict[str, str], dict[str, str]]:
    """Files of both revisions by what they are matched by."""
    from bridgewire.cli.show_files import shows_below

    folders = [Path(p) for p in (old, new)]
    if all(not f.is_dir() for f in folders):
        return {"": old}, {"": new}
    for folder in folders:
        if not folder.is_dir():
            raise click.UsageError(
                f"{str(folder)!r} is no folder; compare two shows, or two folders of shows"
            )
    sides = [
        {p.relative_to(folder).as_posix(): str(p) for p in shows_below(folder)}
        for folder in folders
    ]
    if not any(sides):
        raise click.UsageError(f"there is no show in {old!r} or {new!r}")
    return sides[0], sides[1]
