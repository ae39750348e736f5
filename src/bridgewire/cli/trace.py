"""``bridgewire trace``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.numbers import Number, number_option
from bridgewire.cli.terminal import kit_dir_option, output_option, progress, text_look

if TYPE_CHECKING:
    from bridgewire.timeline.trace import CueTrace


@click.command("trace")
@click.argument("show", shell_complete=show_files)
@click.argument("cue")
@kit_dir_option
@click.option(
    "--igniter",
    "igniters",
    multiple=True,
    metavar="ID",
    help="Only this igniter. May be given several times. All on the cue's way where absent.",
)
@click.option(
    "--corner",
    type=click.Choice(["typical", "slow", "fast"]),
    default="typical",
    show_default=True,
    help="Typical values, or the tolerance corner in which the first --igniter (else the one "
    "with the least margin) lights latest or earliest.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv"]),
    default="text",
    show_default=True,
    help="text tells what happens and when; csv is a table of all values over time.",
)
@number_option(
    "--step-ms",
    type=Number(min=0.001),
    metavar="MS",
    help="Time between the rows of the table; chosen by the length of the pulse where absent.",
)
@click.option(
    "--plot", "plot_file", metavar="FILE", help="Draw a plot; the name ends in .svg or .png."
)
@output_option
def command(
    show: str,
    cue: str,
    kit_dirs: tuple[str, ...],
    igniters: tuple[str, ...],
    corner: str,
    form: str,
    step_ms: float | None,
    plot_file: str | None,
    output: str | None,
) -> None:
    """Show why CUE of SHOW lights as it does: currents and bridge temperatures over time.

    What earlier cues left behind (spent, closed or warm igniters, a drained supply) is in it. The
    CSV has one row per time: a regular grid, and every switching, ignition and burn-open; values
    stand just after the time. PNG needs the extra: pip install 'bridgewire[png]'.
    """
    from bridgewire.cli.drawing_file import check_drawing_name, write_drawing
    from bridgewire.cli.output import refuse_bad_targets, write_output

    check_drawing_name("--plot", plot_file)
    refuse_bad_targets([f for f in (plot_file, output) if f is not None], [show])
    traced = _traced(show, cue, kit_dirs, igniters, corner, step_ms)
    if plot_file is not None:
        from bridgewire.report.trace_svg import trace_svg

        write_drawing(plot_file, trace_svg(traced))
    if form == "csv":
        from bridgewire.report.trace_csv import trace_csv

        text = trace_csv(traced)
        write_output(text if output else text.replace("\r\n", "\n"), output)
        return
    from bridgewire.report.trace_text import trace_text

    width, _ = text_look(output)
    write_output(trace_text(traced, width), output)


def _traced(
    show: str,
    cue: str,
    kit_dirs: tuple[str, ...],
    igniters: tuple[str, ...],
    corner: str,
    step_ms: float | None,
) -> CueTrace:
    from bridgewire.cli.loaded_show import loaded_show, place_of
    from bridgewire.timeline.assess import assess
    from bridgewire.timeline.trace import CORNERS, trace_cue

    loaded = loaded_show(show, kit_dirs)
    place_of("cue", cue, (c.id for c in loaded.show.cue), show)
    with progress(loaded.show.title) as step:
        assessment = assess(loaded.layout, progress=step)
    step_s = None if step_ms is None else step_ms / 1e3
    return trace_cue(assessment, cue, igniters=igniters, corner=CORNERS[corner], step_s=step_s)
