"""``bridgewire bench fit``."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from bridgewire.cli.terminal import kit_dir_option, progress, terminal_width

if TYPE_CHECKING:
    from bridgewire.bench.calibration.study import FitStudy
    from bridgewire.bench.calibration.tempering import Settings

EFFORTS = {"quick": 0.5, "normal": 1.0, "long": 3.0}
"""Times the usual number of moves."""


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
@click.option("--seed", type=int, default=1, show_default=True, help="Other seed, other draws.")
@click.option(
    "--draws",
    type=click.IntRange(min=200, max=100_000),
    default=3456,
    show_default=True,
    help="How many draws from the posterior are kept.",
)
@click.option(
    "--effort",
    type=click.Choice(list(EFFORTS)),
    default="normal",
    show_default=True,
    help="How long the draws are moved on before they are kept.",
)
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@click.option("--output", type=click.Path(dir_okay=False), metavar="FILE", help="Write to a file.")
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
    from bridgewire.bench.forward import compile_record
    from bridgewire.cli.bench_record import load
    from bridgewire.cli.output import write_output

    if (output_kit is None) != (kit_id is None):
        raise click.UsageError("--output-kit and --id go together")
    _needs_scipy()
    if kit_id is not None and output_kit is not None:
        _check_target(kit_id, output_kit, force)
    model = compile_record(load(record, kit_dirs))
    from bridgewire.physics.compiled import compiled_available

    if not compiled_available():
        click.echo(
            "Without numba this takes ten times as long: pip install 'bridgewire[fast]'", err=True
        )
    if not any(t.shot for t in model.record.trial):
        raise click.UsageError(f"{record} has no shots to learn from")
    from bridgewire.bench.calibration.study import study_record
    from bridgewire.uncertainty.odds import default_workers

    with progress(model.record.title[:30]) as step:
        study = study_record(
            model,
            seed=seed,
            settings=_settings(draws, effort),
            threads=min(default_workers(), 4),
            progress=step,
        )
    written: tuple[str, ...] = ()
    if output_kit is not None and kit_id is not None:
        written = _write(study, record, kit_dirs, output_kit, kit_id, force)
    if form == "json":
        from bridgewire.report.bench_fit_json import bench_fit_json

        write_output(bench_fit_json(study, __version__, written), output)
    else:
        from bridgewire.report.bench_fit_text import bench_fit_text

        width = 80 if output else terminal_width(sys.stdout)
        write_output(bench_fit_text(study, written, width), output)
    bad = bool(study.disagreeing) or not study.posterior.diagnostics.good
    click.get_current_context().exit(1 if bad else 0)


def _needs_scipy() -> None:
    import importlib.util

    if importlib.util.find_spec("scipy") is None:
        raise click.UsageError("bench fit needs scipy: pip install 'bridgewire[bench]'")


def _check_target(kit_id: str, folder: str, force: bool) -> None:
    """Refuse before the work what could not be written after it."""
    import re
    from pathlib import Path

    from bridgewire.documents.ranges import ID_PATTERN, ID_WORDS

    if re.fullmatch(ID_PATTERN, kit_id) is None or kit_id.startswith(".") or "\\" in kit_id:
        raise click.UsageError(f"--id must be {ID_WORDS}; got {kit_id!r}")
    for name in (f"{kit_id}.toml", f"{kit_id}.samples.csv"):
        if Path(folder, name).exists() and not force:
            raise click.UsageError(
                f"{Path(folder, name)} is there already; use --force to replace it"
            )


def _settings(draws: int, effort: str) -> Settings:
    from bridgewire.bench.calibration.tempering import Settings

    usual = Settings()
    more = EFFORTS[effort]
    particles = max(-(-draws // (usual.islands * usual.snapshots)), 48)
    return Settings(
        particles=particles,
        burn=round(usual.burn * more),
        final=round(usual.final * more),
    )


def _write(
    study: FitStudy,
    record: str,
    kit_dirs: tuple[str, ...],
    folder: str,
    kit_id: str,
    force: bool,
) -> tuple[str, ...]:
    from pathlib import Path

    from bridgewire import __version__
    from bridgewire.authoring.fitted_profile import write_fitted
    from bridgewire.authoring.toml_text import FileThereError
    from bridgewire.bench.calibration.profile import fitted_kit
    from bridgewire.kits.discovery import kit_folders

    kit = fitted_kit(
        study.posterior,
        study.learned,
        study.agreement,
        kit_id=kit_id,
        title=f"fitted to {study.posterior.model.record.title}",
        version=__version__,
    )
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
