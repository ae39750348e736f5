"""``bridgewire odds``."""

from __future__ import annotations

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.numbers import Whole, number_option
from bridgewire.cli.terminal import (
    colour_option,
    kit_dir_option,
    output_option,
    progress,
    text_look,
)


@click.command("odds")
@click.argument("show", shell_complete=show_files)
@kit_dir_option
@click.option("--cue", metavar="ID", help="Only this cue.")
@number_option(
    "--draws",
    type=Whole(min=100, max=10_000_000),
    default=10_000,
    show_default=True,
    help="How many times the show is fired, each time with other values.",
)
@number_option(
    "--seed", type=Whole(), default=1, show_default=True, help="Other seed, other values."
)
@number_option(
    "--workers",
    type=Whole(min=1, max=1024),
    help="Processes; one for each processor where absent. The result is the same for any number.",
)
@number_option(
    "--closer",
    type=Whole(min=0, max=10_000),
    default=5,
    show_default=True,
    help="How many igniters, the weakest, are looked at closely: small probabilities, causes, and "
    "what to measure.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="How to write it.",
)
@click.option(
    "--bands",
    metavar="FILE",
    help="Draw when each igniter lights, earliest to latest; the name ends in .svg or .png. Pages "
    "of a large show get numbers: FILE-01.svg and so on.",
)
@click.option(
    "--tornado",
    metavar="FILE",
    help="With --cue: draw what each uncertainty alone does to the margin; .svg or .png.",
)
@colour_option
@output_option
def command(
    show: str,
    kit_dirs: tuple[str, ...],
    cue: str | None,
    draws: int,
    seed: int,
    workers: int | None,
    closer: int,
    form: str,
    bands: str | None,
    tornado: str | None,
    colour: str,
    output: str | None,
) -> None:
    """Odds: how likely does every igniter of SHOW light, and what makes it unsure?

    Fires the show many times, each time with values drawn from the tolerances of kit and show.
    Igniters of one batch, cables of one drum, and all that one box or the weather does, go
    together.

    Exit code 1: the show requires a reliability and some igniter falls short of it, or cannot be
    computed.
    """
    from bridgewire import __version__
    from bridgewire.cli.drawing_file import check_drawing_name
    from bridgewire.cli.loaded_show import loaded_show, place_of
    from bridgewire.cli.odds_plots import draw_bands, draw_tornado
    from bridgewire.cli.output import refuse_bad_targets, write_output
    from bridgewire.timeline.assess import assess
    from bridgewire.uncertainty.odds import default_workers
    from bridgewire.uncertainty.study import study_odds

    if tornado is not None and cue is None:
        raise click.UsageError("--tornado draws one cue: name it with --cue")
    check_drawing_name("--bands", bands)
    check_drawing_name("--tornado", tornado)
    refuse_bad_targets([f for f in (output, bands, tornado) if f is not None], [show])
    loaded = loaded_show(show, kit_dirs)
    ids = (c.id for c in loaded.show.cue)
    index = None if cue is None else place_of("cue", cue, ids, show)
    assessment = assess(loaded.layout)
    if bands is not None:
        draw_bands(bands, assessment, index)
    if tornado is not None and index is not None:
        draw_tornado(tornado, assessment, index)
    with progress(loaded.show.title) as step:
        study = study_odds(
            assessment,
            cue=index,
            draws=draws,
            seed=seed,
            workers=workers or default_workers(),
            closer=closer,
            progress=step,
        )
    if form == "json":
        from bridgewire.report.odds_json import odds_json

        write_output(odds_json(study, __version__), output)
    else:
        from bridgewire.report.odds_text import odds_text

        width, ink = text_look(output, colour)
        write_output(odds_text(study, width=width, ink=ink), output, ink.colour)
    click.get_current_context().exit(1 if study.below_required else 0)
