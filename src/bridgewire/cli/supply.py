"""``bridgewire supply``."""

from __future__ import annotations

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.numbers import Number, number_option
from bridgewire.cli.terminal import (
    colour_option,
    kit_dir_option,
    output_option,
    progress,
    text_look,
    width_option,
)

_TEMPERATURE = Number(-60.0, 80.0)


@click.command("supply")
@click.argument("show", shell_complete=show_files)
@kit_dir_option
@number_option(
    "--from-C",
    "from_C",
    type=_TEMPERATURE,
    default=-10.0,
    show_default=True,
    metavar="C",
    help="Coldest temperature of the sweep, °C.",
)
@number_option(
    "--to-C",
    "to_C",
    type=_TEMPERATURE,
    default=35.0,
    show_default=True,
    metavar="C",
    help="Warmest temperature of the sweep, °C.",
)
@number_option(
    "--step-C",
    "step_C",
    type=Number(0.1, 50.0),
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
    help="Show only this box. May be given several times. Verdicts are counted over the whole "
    "show all the same.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "csv"]),
    default="text",
    show_default=True,
    help="How to write it; csv is the voltage and charge per cue only.",
)
@click.option(
    "--plot", "plot_file", metavar="FILE", help="Draw a plot; the name ends in .svg or .png."
)
@click.option("-v", "--verbose", is_flag=True, help="Every cue of every box.")
@colour_option
@width_option
@output_option
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
    """Do the batteries of SHOW last, in the cold, and with a late start?

    Tells the voltage of every box at every cue with the charge used before; what the same show
    does at other temperatures, and which cue fails first; and for each box how many minutes later
    the show can begin before its battery has waited too long. What the kit does not say is said to
    be not known. PNG needs the extra: pip install 'bridgewire[png]'.
    """
    from bridgewire import __version__
    from bridgewire.cli.drawing_file import check_drawing_name, write_drawing
    from bridgewire.cli.loaded_show import loaded_show, place_of
    from bridgewire.cli.output import refuse_bad_targets, write_output
    from bridgewire.timeline.assess import assess
    from bridgewire.timeline.supply_log import supply_logs
    from bridgewire.uncertainty.cold import temperatures

    check_drawing_name("--plot", plot_file)
    refuse_bad_targets([f for f in (output, plot_file) if f is not None], [show])
    loaded = loaded_show(show, kit_dirs)
    for box in boxes:
        place_of("box", box, loaded.layout.boxes, show)
    try:
        at_C = temperatures(from_C, to_C, step_C)
    except ValueError as error:
        raise click.UsageError(f"--from-C, --to-C, --step-C: {error}") from None
    with progress(loaded.show.title) as step:
        assessment = assess(loaded.layout, progress=step)
    logs = tuple(x for x in supply_logs(assessment) if not boxes or x.box in boxes)
    if plot_file is not None:
        from bridgewire.report.supply_svg import supply_svg

        write_drawing(plot_file, supply_svg(loaded.show.title, logs))
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

    columns, ink = text_look(output, colour, width)
    write_output(supply_text(report, columns, verbose=verbose, ink=ink), output, ink.colour)
