"""``bridgewire advise``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.numbers import Whole, number_option
from bridgewire.cli.terminal import (
    colour_option,
    kit_dir_option,
    output_option,
    progress,
    text_look,
    width_option,
)
from bridgewire.report.plain_text import visible

if TYPE_CHECKING:
    from bridgewire.api import LoadedShow
    from bridgewire.remedies.case import Case
    from bridgewire.remedies.numbered import Numbered
    from bridgewire.remedies.remedy import Remedy


@click.command("advise")
@click.argument("show", shell_complete=show_files)
@click.option(
    "--cue",
    "cues",
    multiple=True,
    metavar="ID",
    help="Only for this cue. May be given several times.",
)
@number_option(
    "--apply",
    "numbers",
    type=Whole(1),
    multiple=True,
    metavar="N",
    help="Make remedy N. May be given several times: they are made together and checked again.",
)
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
@number_option(
    "--most",
    type=Whole(1, 100),
    default=5,
    show_default=True,
    help="Remedies shown for a cue.",
)
@kit_dir_option
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@colour_option
@width_option
@output_option
def command(
    show: str,
    cues: tuple[str, ...],
    numbers: tuple[int, ...],
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

    Seeks changes of pulses, times, wiring, cable, igniters, box and battery for each cue that is
    not sure or has warnings. Each remedy was checked on the whole show, and breaks nothing else.
    None that is shown is beaten by another in all kinds of cost. State prices in the kits and
    [costs] in the show to have them ranked by money.

    The numbers stay the same as long as the show and its kits do, and as --cue is given alike.

    The exit code is 1 if a cue is left without a remedy.
    """
    if not numbers and (target or yes):
        raise click.UsageError("--to and --yes are for --apply, which is not given")
    from bridgewire import __version__
    from bridgewire.cli.case import known_cues, loaded_case
    from bridgewire.cli.output import refuse_bad_targets, write_output
    from bridgewire.remedies.numbered import numbered
    from bridgewire.remedies.search import advise
    from bridgewire.report.advice_json import advice_json
    from bridgewire.report.advice_text import advice_text

    refuse_bad_targets([output] if output else [], [show])
    loaded, case = loaded_case(show, kit_dirs)
    wanted = known_cues(case, cues) or None
    if numbers:
        from bridgewire.remedies.write_back import check_writable

        check_writable(Path(loaded.file))
    with progress("remedies") as step:
        advice = numbered(advise(case, wanted, progress=step))
    if numbers:
        _apply(loaded, case, [_remedy(advice, n) for n in dict.fromkeys(numbers)], target, yes)
        return
    title, currency = loaded.show.title, loaded.show.costs.currency
    if form == "json":
        write_output(advice_json(loaded.file, title, advice, currency, __version__), output)
    else:
        columns, ink = text_look(output, colour, width)
        text = advice_text(title, advice, currency, columns, ink, most)
        write_output(text, output, ink.colour)
    helpless = any(a.findings and not a.remedies and not advice.also(a) for a, _ in advice.groups)
    click.get_current_context().exit(1 if helpless else 0)


def _remedy(advice: Numbered, number: int) -> Remedy:
    remedy = advice.remedy(number)
    if remedy is None:
        there = f"there are {advice.count}" if advice.count else "there are none"
        raise click.UsageError(f"--apply {number}: no such remedy, {there}")
    return remedy


def _apply(
    loaded: LoadedShow, case: Case, remedies: Sequence[Remedy], target: str | None, yes: bool
) -> None:
    from bridgewire.cli.output import write_output
    from bridgewire.remedies.apply import changed_files, together

    edits = together(case, remedies)
    source = Path(loaded.file)
    to = source if target is None else Path(target)
    files = changed_files(source, to, loaded.show, loaded.document.data, edits)
    words = "; ".join(visible(r.words) for r in remedies)
    if not yes and any(path.exists() for path in files):
        names = ", ".join(visible(str(p)) for p in files if p.exists())
        if not sys.stdin.isatty():
            raise click.UsageError(
                f"{names} would be changed: say --yes, or write elsewhere with --to FILE"
            )
        click.echo(f"{words}.")
        click.confirm(f"Change {names}?", abort=True)
    for path, raw in files.items():
        write_output(raw, str(path))
    click.echo(f"{words}: written to {', '.join(visible(str(p)) for p in files)}", err=True)
