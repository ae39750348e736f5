"""``bridgewire advise``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.terminal import (
    colour_option,
    ink_for,
    kit_dir_option,
    progress,
    terminal_width,
)

if TYPE_CHECKING:
    from bridgewire.api import LoadedShow
    from bridgewire.remedies.search import Advice, Remedy


@click.command("advise")
@click.argument("show")
@click.option(
    "--cue", "cues", multiple=True, metavar="ID", help="Only for this cue; may be repeated."
)
@click.option("--apply", "number", type=click.IntRange(1), metavar="N", help="Make remedy N.")
@click.option(
    "--to",
    "target",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="With --apply: write the changed show there. Without it you are asked before SHOW itself "
    "is changed.",
)
@click.option(
    "--yes", is_flag=True, help="With --apply: change SHOW, or an existing FILE, unasked."
)
@click.option(
    "--most",
    type=click.IntRange(1, 100),
    default=5,
    show_default=True,
    help="Remedies shown for a cue.",
)
@kit_dir_option
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@colour_option
@click.option(
    "--width",
    type=click.IntRange(min=60, max=400),
    help="Columns of the text; the terminal's, or 80, where absent.",
)
@click.option(
    "--output", type=click.Path(dir_okay=False), metavar="FILE", help="Write the advice to a file."
)
def command(
    show: str,
    cues: tuple[str, ...],
    number: int | None,
    target: str | None,
    yes: bool,
    most: int,
    kit_dirs: tuple[str, ...],
    form: str,
    colour: str,
    width: int | None,
    output: str | None,
) -> None:
    """Say what to change in SHOW so that every cue fires surely, at what cost.

    Tries changes of pulse, time, wiring, cable, igniters, box and battery for each cue that is
    not sure or has warnings. Each remedy was checked on the whole show, and breaks nothing else.
    None that is shown is beaten by another in all kinds of cost. State prices in the kits and
    [costs] in the show to have them ranked by money.

    The exit code is 1 if a cue is left without a remedy.
    """
    if number is None and (target or yes):
        raise click.UsageError("--to and --yes are for --apply, which is not given")
    from bridgewire import __version__
    from bridgewire.cli.case import known_cues, loaded_case
    from bridgewire.cli.output import write_output
    from bridgewire.remedies.search import advise
    from bridgewire.report.advice_json import advice_json
    from bridgewire.report.advice_text import advice_text

    loaded, case = loaded_case(show, kit_dirs)
    wanted = known_cues(case, cues) or None
    with progress("remedies") as step:
        advice = advise(case, wanted, progress=step)
    title = loaded.show.title
    if number is not None:
        _apply(loaded, _numbered(advice, number), target, yes)
        return
    if form == "json":
        write_output(advice_json(loaded.file, title, advice, __version__), output)
    else:
        ink = ink_for("never" if output and colour == "auto" else colour, sys.stdout)
        columns = width or (80 if output else terminal_width(sys.stdout))
        currency = loaded.show.costs.currency
        text = advice_text(title, advice, currency, columns, ink, most)
        write_output(text, output, ink.colour)
    helpless = any(a.findings and not a.remedies for a in advice)
    click.get_current_context().exit(1 if helpless else 0)


def _numbered(advice: Sequence[Advice], number: int) -> Remedy:
    remedies = [r for a in advice for r in a.remedies]
    if number > len(remedies):
        there = f"there are {len(remedies)}" if remedies else "there are none"
        raise click.UsageError(f"--apply {number}: no such remedy, {there}")
    return remedies[number - 1]


def _apply(loaded: LoadedShow, remedy: Remedy, target: str | None, yes: bool) -> None:
    from bridgewire.cli.output import write_output
    from bridgewire.remedies.apply import changed_files

    source = Path(loaded.file)
    to = source if target is None else Path(target)
    files = changed_files(source, to, loaded.show, loaded.document.data, remedy.edits)
    if not yes and any(path.exists() for path in files):
        names = ", ".join(str(p) for p in files if p.exists())
        if not sys.stdin.isatty():
            raise click.UsageError(
                f"{names} would be changed: say --yes, or write elsewhere with --to FILE"
            )
        click.echo(f"{remedy.words}.")
        click.confirm(f"Change {names}?", abort=True)
    for path, raw in files.items():
        write_output(raw, str(path))
    click.echo(f"{remedy.words}: written to {', '.join(map(str, files))}", err=True)
