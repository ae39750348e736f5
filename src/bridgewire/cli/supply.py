"""``bridgewire supply``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.terminal import (
    colour_option,
    ink_for,
    kit_dir_option,
    progress,
    terminal_width,
    width_option,
)

if TYPE_CHECKING:
    from bridgewire.api import LoadedShow

_TEMPERATURE = click.FloatRange(-60.0, 80.0)


@click.command("supply")
@click.argument("show", shell_complete=show_files)
@kit_dir_option
@click.option(
    "--from-C",
    "from_C",
    type=_TEMPERATURE,
    default=-10.0,
    show_default=True,
    metavar="C",
    help="Coldest temperature of the sweep, °C.",
)
@click.option(
    "--to-C",
    "to_C",
    type=_TEMPERATURE,
    default=35.0,
    show_default=True,
    metavar="C",
    help="Warmest temperature of the sweep, °C.",
)
@click.option(
    "--step-C",
    "step_C",
    type=click.FloatRange(0.1, 50.0),
    default=5.0,
    show_default=True,
    metavar="K",
    help="Step of the sweep, K.",
)
@click.option(
    "--box",
    "boxes",
    multiple=True,
    metavar="ID",
    help="Show only this box; may be given several times. Verdicts are counted over the whole "
    "show all the same.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "csv"]),
    default="text",
    show_default=True,
    help="csv is the voltage and charge per cue only.",
)
@click.option(
    "--plot", "plot_file", metavar="FILE", help="Draw a plot; the name ends in .svg or .png."
)
@click.option("-v", "--verbose", is_flag=True, help="Every cue of every box.")
@colour_option
@width_option(80)
@click.option(
    "--output", type=click.Path(dir_okay=False), metavar="FILE", help="Write the report to a file."
)
def command(
    show: str,
    kit_dirs: tuple[str, ...],
    from_C: float,
    to_C: float,
    step_C: float,
    boxes: tuple[str, ...],
    form: str,
    plot_file: str | None,
    verbose: bool,
    colour: str,
    width: int | None,
    output: str | None,
) -> None:
    """Follow the supplies of SHOW: voltage and charge per cue, cold, and minutes late.

    Tells the voltage of every box at every cue with the charge used before; what the same show
    does at other temperatures, and which cue fails first; and for each box how many minutes later
    the show can begin before its battery has waited too long. What the kit does not say is said to
    be not known. PNG needs the extra: pip install 'bridgewire[png]'.
    """
    if plot_file is not None and Path(plot_file).suffix.lower() not in (".svg", ".png"):
        raise click.UsageError(f"--plot {plot_file}: the name must end in .svg or .png")
    loaded = _loaded(show, kit_dirs, boxes)
    from bridgewire import __version__
    from bridgewire.cli.output import write_output
    from bridgewire.timeline.assess import assess
    from bridgewire.timeline.supply_log import supply_logs
    from bridgewire.uncertainty.cold import temperatures

    try:
        at_C = temperatures(from_C, to_C, step_C)
    except ValueError as error:
        raise click.UsageError(f"--from-C, --to-C, --step-C: {error}") from None
    with progress(loaded.show.title[:30]) as step:
        assessment = assess(loaded.layout, progress=step)
    logs = tuple(x for x in supply_logs(assessment) if not boxes or x.box in boxes)
    if plot_file is not None:
        from bridgewire.report.supply_svg import supply_svg

        svg = supply_svg(loaded.show.title, logs)
        if plot_file.lower().endswith(".png"):
            from bridgewire.report.trace_png import svg_to_png

            write_output(svg_to_png(svg), plot_file)
        else:
            write_output(svg, plot_file)
    if form == "csv":
        from bridgewire.report.supply_csv import supply_csv

        text = supply_csv(logs)
        write_output(text if output else text.replace("\r\n", "\n"), output)
        return
    from bridgewire.report.supply_contents import supply_report

    with progress("temperatures") as step:
        report = supply_report(
            assessment,
            at_C,
            file=loaded.file,
            sha256=loaded.document.sha256,
            boxes=boxes,
            progress=step,
        )
    if form == "json":
        from bridgewire.report.supply_json import supply_json

        write_output(supply_json(report, __version__), output)
        return
    from bridgewire.report.supply_text import supply_text

    ink = ink_for("never" if output and colour == "auto" else colour, sys.stdout)
    columns = width or (80 if output else terminal_width(sys.stdout))
    write_output(supply_text(report, columns, verbose=verbose, ink=ink), output, ink.colour)


def _loaded(show: str, kit_dirs: tuple[str, ...], boxes: tuple[str, ...]) -> LoadedShow:
    from bridgewire.api import load_show

    loaded = load_show(show, kit_dirs=kit_dirs)
    if loaded.plugins.findings:
        from bridgewire.report.problems import problems_text

        text = problems_text(loaded.plugins.findings, terminal_width(sys.stderr))
        click.echo(text, nl=False, err=True)
    for box in boxes:
        if box not in loaded.layout.boxes:
            import difflib

            near = difflib.get_close_matches(box, list(loaded.layout.boxes), n=1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise click.UsageError(f"there is no box {box!r} in {show}{hint}")
    return loaded
