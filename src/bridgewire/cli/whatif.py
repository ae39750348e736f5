"""``bridgewire whatif``."""

from __future__ import annotations

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.terminal import (
    colour_option,
    kit_dir_option,
    output_option,
    progress,
    text_look,
    width_option,
)


@click.command("whatif")
@click.argument("show", shell_complete=show_files)
@click.option(
    "--set",
    "texts",
    multiple=True,
    required=True,
    metavar="PLACE=VALUES",
    help="What to vary, e.g. run[west].length_m=10..60/10, cue[ring].pulse_s=0.5,1,2, "
    "site.ambient_C=-10,10, box[heron-1].supply_V=20,21, run[*].cable=harrowmere:pier-cable, "
    "igniter[*].count=1..4/1, run[*].length_m=x0.5,x1. May be given several times: every "
    "combination is checked.",
)
@click.option(
    "--cue",
    "cues",
    multiple=True,
    metavar="ID",
    help="Judge only this cue. May be given several times.",
)
@kit_dir_option
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
)
@colour_option
@width_option
@output_option
def command(
    show: str,
    texts: tuple[str, ...],
    cues: tuple[str, ...],
    kit_dirs: tuple[str, ...],
    form: str,
    colour: str,
    width: int | None,
    output: str | None,
) -> None:
    """Check SHOW again and again with other values, side by side.

    Each row is a check of the whole show: how many cues are sure, marginal, no or unknown, the
    smallest margin and the latest light time. The file is not changed.

    Exit code 2: bad input, or none of the values can be used.
    """
    from bridgewire import __version__
    from bridgewire.cli.case import known_cues, loaded_case
    from bridgewire.cli.output import refuse_bad_targets, write_output
    from bridgewire.remedies.setting import SettingError, parse_setting
    from bridgewire.remedies.sweep import sweep
    from bridgewire.report.sweep_text import sweep_csv, sweep_json, sweep_text

    refuse_bad_targets([output] if output else [], [show])
    loaded, case = loaded_case(show, kit_dirs)
    wanted = known_cues(case, cues)
    try:
        settings = [parse_setting(text, case.plain) for text in texts]
        with progress("what if") as step:
            rows = sweep(case, settings, wanted, progress=step)
    except SettingError as error:
        raise click.UsageError(f"--set: {error}") from None
    title = loaded.show.title
    if form == "csv":
        write_output(sweep_csv(settings, rows), output)
    elif form == "json":
        write_output(sweep_json(title, settings, rows, __version__), output)
    else:
        columns, ink = text_look(output, colour, width)
        write_output(sweep_text(title, settings, rows, columns, ink), output, ink.colour)
    click.get_current_context().exit(2 if all(r.problems for r in rows) else 0)
