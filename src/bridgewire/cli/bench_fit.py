"""``bridgewire bench fit``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from bridgewire.cli.bench_posterior import effort_option, seed_option
from bridgewire.cli.numbers import Whole, number_option
from bridgewire.cli.terminal import kit_dir_option, output_option, text_look

if TYPE_CHECKING:
    from bridgewire.bench.calibration.study import FitStudy


@click.command("fit")
@click.argument("record")
@kit_dir_option
@click.option(
    "--output-kit",
    type=click.Path(file_okay=False),
    metavar="DIR",
    help="Write the fitted kit profile and its samples into this folder; made if it is not there.",
)
@click.option("--id", "kit_id", metavar="ID", help="Id of the new profile, with --output-kit.")
@click.option("--force", is_flag=True, help="Replace files that are there.")
@seed_option
@number_option(
    "--draws",
    type=Whole(min=200, max=100_000),
    default=3456,
    show_default=True,
    help="How many draws from the posterior are kept.",
)
@effort_option
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@output_option
def command(
    record: str,
    kit_dirs: tuple[str, ...],
    output_kit: str | None,
    kit_id: str | None,
    force: bool,
    seed: int,
    draws: int,
    effort: str,
    form: str,
    output: str | None,
) -> None:
    """Fit the kit to the bench record RECORD: what are your supply, cables and igniters?

    Starts from what the kit profiles say, tolerances included, and works out what all trials
    together make of it: with how much doubt, and which trial disagrees with the rest.

    Exit code 1: a trial disagrees with the rest, or the draws have not settled. 2: bad input.
    """
    from bridgewire import __version__
    from bridgewire.cli.bench_posterior import model_with_shots, needs_scipy, studied
    from bridgewire.cli.output import refuse_bad_targets, write_output
    from bridgewire.physics.compiled import compiled_available

    if (output_kit is None) != (kit_id is None):
        raise click.UsageError("--output-kit and --id go together")
    targets = [output] if output else []
    needs_scipy("bench fit")
    if kit_id is not None and output_kit is not None:
        targets += _targets(kit_id, output_kit, force)
    refuse_bad_targets(targets, [record])
    model = model_with_shots(record, kit_dirs)
    if not compiled_available():
        click.echo(
            "Without numba this takes ten times as long: pip install 'bridgewire[fast]'", err=True
        )
    study = studied(model, seed=seed, draws=draws, effort=effort)
    written: tuple[str, ...] = ()
    if output_kit is not None and kit_id is not None:
        written = _write(study, record, kit_dirs, output_kit, kit_id, force)
    if form == "json":
        from bridgewire.report.bench_fit_json import bench_fit_json

        write_output(bench_fit_json(study, __version__, written), output)
    else:
        from bridgewire.report.bench_fit_text import bench_fit_text

        width, _ = text_look(output)
        write_output(bench_fit_text(study, written, width), output)
    bad = bool(study.disagreeing) or not study.posterior.diagnostics.good
    click.get_current_context().exit(1 if bad else 0)


def _targets(kit_id: str, folder: str, force: bool) -> list[str]:
    """Files of a profile; refused before the work if they could not be written after it."""
    import re
    from pathlib import Path

    from bridgewire.documents.ranges import ID_PATTERN, ID_WORDS

    if re.fullmatch(ID_PATTERN, kit_id) is None or kit_id.startswith(".") or "\\" in kit_id:
        raise click.UsageError(f"--id must be {ID_WORDS}; got {kit_id!r}")
    files = [Path(folder, f"{kit_id}.toml"), Path(folder, f"{kit_id}.samples.csv")]
    for file in files:
        if file.exists() and not force:
            raise click.UsageError(f"{file} is there already; use --force to replace it")
    return [str(file) for file in files]


def _write(
    study: FitStudy,
    record: str,
    kit_dirs: tuple[str, ...],
    folder: str,
    kit_id: str,
    force: bool,
) -> tuple[str, ...]:
    from pathlib import Path

    from bridgewire.authoring.fitted_profile import write_fitted
    from bridgewire.authoring.toml_text import FileThereError
    from bridgewire.cli.bench_posterior import kit_of
    from bridgewire.kits.discovery import kit_folders

    kit = kit_of(study, kit_id)
    folders = kit_folders(Path(record), [Path(d) for d in kit_dirs])
    try:
        Path(folder).mkdir(parents=True, exist_ok=True)
        paths = write_fitted(kit, Path(folder), folders, replace=force)
    except FileThereError as error:
        raise click.UsageError(str(error)) from None
    except OSError as error:
        reason = error.strerror or str(error)
        raise click.UsageError(f"{folder} cannot be written to: {reason}") from None
    return tuple(str(p) for p in paths)
