"""``bridgewire bench sensitivity``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from bridgewire.cli.bench_posterior import needs_scipy
from bridgewire.cli.numbers import Number, number_option
from bridgewire.cli.terminal import colour_option, output_option, text_look

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bridgewire.bench.sensitivity.reading import TrialFile
    from bridgewire.report.ink import Ink


@click.command("sensitivity")
@click.argument("files", nargs=-1, required=True, metavar="FILE.csv...")
@click.option(
    "--method",
    type=click.Choice(["fit", "up-and-down", "next"]),
    default="fit",
    show_default=True,
    help="A curve with intervals; the up-and-down formulas; or the level to try next.",
)
@click.option(
    "--link",
    type=click.Choice(["probit", "logit", "cloglog"]),
    default="probit",
    show_default=True,
    help="Shape of the curve.",
)
@click.option(
    "--scale",
    type=click.Choice(["linear", "log"]),
    default="log",
    show_default=True,
    help="What the curve is straight on, and steps are equal on: the level, or its logarithm "
    "(base 10).",
)
@number_option(
    "--confidence",
    type=Number(0.5, 0.9999, min_open=True),
    default=0.95,
    show_default=True,
    metavar="C",
    help="Of the intervals, and of the one-sided bounds of all-fire and no-fire.",
)
@number_option(
    "--guess",
    nargs=2,
    type=Number(),
    metavar="LOW HIGH",
    help="For next: levels between which half are thought to light.",
)
@number_option(
    "--guess-spread",
    type=Number(),
    metavar="S",
    help="For next: guess of the spread, in the unit of the level; a sixth of the guess if absent.",
)
@click.option("--plot", "plot_file", metavar="FILE.svg", help="For fit, one FILE: draw the curve.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
)
@colour_option
@output_option
def command(
    files: tuple[str, ...],
    method: str,
    link: str,
    scale: str,
    confidence: float,
    guess: tuple[float, float] | None,
    guess_spread: float | None,
    plot_file: str | None,
    form: str,
    colour: str,
    output: str | None,
) -> None:
    """At which level do igniters light, and how sure is that?

    Each FILE is one trial: a heading level_A (or level_V, level_s, ...) and result (lit or not),
    one row for each shot in the order made; or level_A, tried and lit, one row for each level.
    Files are not pooled. Where the shots allow no curve, the reason is told and no figure is
    made up. Needs the extra: pip install 'bridgewire[bench]'.
    """
    if method == "next" and guess is None:
        raise click.UsageError("--method next needs --guess LOW HIGH")
    if method != "next" and (guess is not None or guess_spread is not None):
        raise click.UsageError("--guess and --guess-spread go with --method next")
    if plot_file is not None and (method != "fit" or len(files) != 1):
        raise click.UsageError("--plot goes with --method fit and one FILE")
    if plot_file is not None and not plot_file.lower().endswith(".svg"):
        raise click.UsageError(f"--plot {plot_file}: the name must end in .svg")
    needs_scipy("bench sensitivity")
    from bridgewire.bench.sensitivity.reading import read_trial_files
    from bridgewire.cli.output import refuse_bad_targets, write_output

    refuse_bad_targets([f for f in (output, plot_file) if f is not None], files)

    on = "log10" if scale == "log" else "linear"
    found = read_trial_files(files, positive=scale == "log", in_order=method != "fit")
    columns, ink = text_look(output, colour)
    width = min(columns, 110)
    if method == "fit":
        text = _fit(found, link, on, confidence, plot_file, form, width, ink)
    elif method == "up-and-down":
        text = _up_and_down(found, on, form, width, ink)
    else:
        assert guess is not None
        text = _next(found, link, on, guess, guess_spread, form, width, ink)
    write_output(text, output, ink.colour)


def _fit(
    files: Sequence[TrialFile],
    link: str,
    scale: str,
    confidence: float,
    plot_file: str | None,
    form: str,
    width: int,
    ink: Ink,
) -> str:
    from bridgewire import __version__
    from bridgewire.bench.sensitivity.analysis import analyse
    from bridgewire.bench.sensitivity.links import LINKS

    found = [(f, analyse(f.trials, LINKS[link], scale, confidence)) for f in files]
    if plot_file is not None:
        from bridgewire.cli.output import write_output
        from bridgewire.report.sensitivity_svg import sensitivity_svg

        write_output(sensitivity_svg(*found[0]), plot_file)
    if form == "json":
        from bridgewire.report.sensitivity_json import sensitivity_json

        return sensitivity_json(found, __version__)
    from bridgewire.report.sensitivity_text import sensitivity_text

    return sensitivity_text(found, width, ink)


def _up_and_down(files: Sequence[TrialFile], scale: str, form: str, width: int, ink: Ink) -> str:
    from bridgewire import __version__
    from bridgewire.bench.sensitivity.isotonic import centred_isotonic
    from bridgewire.bench.sensitivity.up_and_down import running_mean, up_and_down
    from bridgewire.report.sequence_text import (
        SequenceResult,
        up_and_down_json,
        up_and_down_text,
    )

    found = [
        (
            f,
            SequenceResult(
                up_and_down(f.trials, scale),
                running_mean(f.trials, scale),
                centred_isotonic(f.trials, 0.5, scale),
            ),
        )
        for f in files
    ]
    if form == "json":
        return up_and_down_json(found, scale, __version__)
    return up_and_down_text(found, scale, width, ink)


def _next(
    files: Sequence[TrialFile],
    link: str,
    scale: str,
    guess: tuple[float, float],
    spread: float | None,
    form: str,
    width: int,
    ink: Ink,
) -> str:
    from bridgewire import __version__
    from bridgewire.bench.sensitivity.links import LINKS
    from bridgewire.bench.sensitivity.sequential import guess_from_levels, next_level
    from bridgewire.report.sequence_text import next_json, next_text

    try:
        thought = guess_from_levels(guess[0], guess[1], spread, scale)
    except ValueError as error:
        raise click.UsageError(f"--guess, --guess-spread: {error}") from None
    found = [(f, next_level(f.trials.order or (), thought, scale, LINKS[link])) for f in files]
    if form == "json":
        return next_json(found, scale, __version__)
    return next_text(found, scale, width, ink)
