"""``bridgewire trace``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.terminal import kit_dir_option, progress, terminal_width

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
    help="Only this igniter; may be given several times. All on the cue's way where absent.",
)
@click.option(
    "--corner",
    type=click.Choice(["typical", "slow", "fast"]),
    default="typical",
    show_default=True,
    help="Typical values, or the tolerance corner in which the first --igniter (else the one "
    "with the least margin) lights latest or earliest.",
)
@click.option("--csv", "csv_file", metavar="FILE", help="Write a table as CSV; - is the output.")
@click.option(
    "--plot", "plot_file", metavar="FILE", help="Draw a plot; the name ends in .svg or .png."
)
@click.option(
    "--step", "step_ms", type=click.FloatRange(min=0.001), metavar="MS", help="Time between rows."
)
def command(
    show: str,
    cue: str,
    kit_dirs: tuple[str, ...],
    igniters: tuple[str, ...],
    corner: str,
    csv_file: str | None,
    plot_file: str | None,
    step_ms: float | None,
) -> None:
    """Follow the currents and bridge temperatures of CUE in SHOW over time.

    What earlier cues left behind (spent, closed or warm igniters, a drained supply) is in it. The
    CSV has one row per time: a regular grid, and every switching, ignition and burn-open; values
    stand just after the time. PNG needs the extra: pip install 'bridgewire[png]'.
    """
    if plot_file is not None and Path(plot_file).suffix.lower() not in (".svg", ".png"):
        raise click.UsageError(f"--plot {plot_file}: the name must end in .svg or .png")
    traced = _traced(show, cue, kit_dirs, igniters, corner, step_ms)
    if csv_file is not None:
        from bridgewire.report.trace_csv import trace_csv

        text = trace_csv(traced)
        if csv_file == "-":
            sys.stdout.write(text.replace("\r\n", "\n"))
        else:
            _save(csv_file, text.encode("utf-8"))
    if plot_file is not None:
        from bridgewire.report.trace_svg import trace_svg

        svg = trace_svg(traced)
        if plot_file.lower().endswith(".png"):
            from bridgewire.report.trace_png import svg_to_png

            _save(plot_file, svg_to_png(svg))
        else:
            _save(plot_file, svg.encode("utf-8"))
    if csv_file != "-":
        from bridgewire.report.trace_text import trace_text

        click.echo(trace_text(traced, terminal_width(sys.stdout)), nl=False)


def _traced(
    show: str,
    cue: str,
    kit_dirs: tuple[str, ...],
    igniters: tuple[str, ...],
    corner: str,
    step_ms: float | None,
) -> CueTrace:
    from bridgewire.api import load_show
    from bridgewire.timeline.assess import assess
    from bridgewire.timeline.trace import CORNERS, trace_cue

    loaded = load_show(show, kit_dirs=kit_dirs)
    if loaded.plugins.findings:
        from bridgewire.report.problems import problems_text

        text = problems_text(loaded.plugins.findings, terminal_width(sys.stderr))
        click.echo(text, nl=False, err=True)
    ids = [c.id for c in loaded.show.cue]
    if cue not in ids:
        import difflib

        near = difflib.get_close_matches(cue, ids, n=1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise click.UsageError(f"there is no cue {cue!r} in {show}{hint}")
    with progress(loaded.show.title[:30]) as step:
        assessment = assess(loaded.layout, progress=step)
    step_s = None if step_ms is None else step_ms / 1e3
    return trace_cue(assessment, cue, igniters=igniters, corner=CORNERS[corner], step_s=step_s)


def _save(file: str, content: bytes) -> None:
    try:
        Path(file).write_bytes(content)
    except OSError as error:
        raise click.ClickException(f"cannot write {file}: {error.strerror}") from None
