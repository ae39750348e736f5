"""``bridgewire check``."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path

import click

from bridgewire.cli.candidates import kit_ids, show_files
from bridgewire.cli.numbers import Whole, number_option
from bridgewire.cli.terminal import (
    PLAIN_WIDTH,
    allow_broken_option,
    colour_option,
    ink_for,
    kit_dir_option,
    output_option,
    terminal_width,
    today_option,
    width_option,
)
from bridgewire.report.formats import OWN_FORMATS

DRAWS = 10_000


@click.command("check")
@click.argument("shows", nargs=-1, required=True, metavar="SHOW...", shell_complete=show_files)
@kit_dir_option
@click.option(
    "--kit",
    "kit_lists",
    multiple=True,
    metavar="ID[+ID...]",
    shell_complete=kit_ids,
    help="Also try this list of kit profiles in place of the show's own, side by side. May be "
    "given several times. References without a kit's name are searched through the list in order.",
)
@click.option(
    "--swap",
    "swaps",
    multiple=True,
    metavar="OLD=NEW",
    help="Try the show with one thing in place of another, side by side: two kits, or two "
    "entries such as harrowmere:heron=harrowmere:teal. May be given several times.",
)
@click.option(
    "--odds",
    is_flag=True,
    help="Also compute odds, and judge them by the reliability that the show requires.",
)
@number_option(
    "--draws",
    type=Whole(min=100, max=10_000_000),
    help="With --odds: how many times the show is fired, each time with other values; 10000 "
    "where absent.",
)
@number_option(
    "--seed",
    type=Whole(),
    default=1,
    show_default=True,
    help="With --odds: other seed, other values.",
)
@click.option(
    "--format",
    "form",
    default="text",
    show_default=True,
    metavar="NAME",
    help=f"How to write the report: {', '.join(OWN_FORMATS)}, or the name of a plugin's report "
    "writer.",
)
@allow_broken_option
@click.option(
    "--baseline",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="A file of known findings (see bridgewire baseline): they are counted and named, and only "
    "other findings decide the exit code.",
)
@today_option
@click.option(
    "--advise",
    is_flag=True,
    help="Work out what to change for each cue that is not sure or has warnings, as bridgewire "
    "advise does, and put it beside the findings (text, html, json). Takes its time.",
)
@click.option(
    "--fail-on",
    type=click.Choice(["info", "warning", "error"]),
    default="error",
    show_default=True,
    help="Least severity of a finding that makes the exit code 1.",
)
@click.option("-v", "--verbose", is_flag=True, help="Details of every igniter of every cue.")
@click.option("--all", "everything", is_flag=True, help="Every finding, not three of each code.")
@colour_option
@width_option
@output_option
@click.option(
    "--write",
    "writes",
    multiple=True,
    metavar="NAME=FILE",
    help="Write the report to this file as well, in the format of this name. May be given several "
    "times; all files are written, or none.",
)
def command(
    shows: tuple[str, ...],
    kit_dirs: tuple[str, ...],
    kit_lists: tuple[str, ...],
    swaps: tuple[str, ...],
    odds: bool,
    draws: int | None,
    seed: int,
    form: str,
    allow_broken: bool,
    baseline: str | None,
    today: datetime.date | None,
    advise: bool,
    fail_on: str,
    verbose: bool,
    everything: bool,
    colour: str,
    width: int | None,
    output: str | None,
    writes: tuple[str, ...],
) -> None:
    """Check shows: will every igniter of every cue light, when, and with what margin?

    Verdicts: sure (lights even at the worst tolerance corner), marginal (lights with typical
    values, not at the worst corner), no (not even typically), unknown (a value is missing).

    A folder stands for every show below it; kit profiles and other files in it are left out.

    With --kit or --swap the show is checked as written and on the other kit, side by side; the
    exit code is then 0 if any of the other kit has no finding at or above --fail-on.

    With --write one run makes several reports, say SARIF for a code service and a page for the
    crew: --write sarif=check.sarif --write html=check.html.

    Exit code 2 means that a file could not be used; every problem in it is shown with its place.
    """
    from attrs import evolve

    from bridgewire.cli.check_outputs import Outputs
    from bridgewire.cli.check_run import CheckRun
    from bridgewire.cli.show_files import show_files
    from bridgewire.plugins.manager import load_plugins
    from bridgewire.report.ink import Ink
    from bridgewire.report.text import TextOptions

    if draws is not None and not odds:
        raise click.UsageError("--draws is for --odds, which is not asked for")
    if advise and (kit_lists or swaps):
        raise click.UsageError("--advise is for shows as written, not for --kit or --swap")
    if baseline is not None and (kit_lists or swaps):
        raise click.UsageError("--baseline is for shows as written, not for --kit or --swap")
    files = show_files(shows)
    inputs = (*files, *((baseline,) if baseline else ()))
    outputs = Outputs(form, output, writes, inputs=inputs)
    screen = TextOptions(
        width or terminal_width(sys.stdout),
        verbose,
        everything,
        ink_for(colour, sys.stdout),
        cautions=False,
    )
    runner = CheckRun(
        kit_dirs,
        outputs.formats,
        load_plugins(allow_broken=allow_broken),
        fail_on=fail_on,
        draws=(draws or DRAWS) if odds else None,
        seed=seed,
        today=today,
        baseline=None if baseline is None else Path(baseline),
        advise=advise,
    )
    if kit_lists or swaps:
        runner.compare(files, [k.split("+") for k in kit_lists], swaps)
    else:
        runner.check(files)
    in_files = evolve(screen, width=width or PLAIN_WIDTH, ink=Ink(colour == "always"))
    outputs.write(runner, on_screen=screen, in_files=in_files)
    click.get_current_context().exit(runner.exit_code())
