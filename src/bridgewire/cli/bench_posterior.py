"""A bench record and what it says, for commands that build on it."""

from __future__ import annotations

import importlib.util
from typing import TYPE_CHECKING

import click

from bridgewire.cli.bench_fit import EFFORTS
from bridgewire.cli.terminal import progress

if TYPE_CHECKING:
    from bridgewire.bench.calibration.posterior import Posterior
    from bridgewire.bench.calibration.study import FitStudy
    from bridgewire.bench.calibration.tempering import Settings
    from bridgewire.bench.forward import BenchModel

effort_option = click.option(
    "--effort",
    type=click.Choice(list(EFFORTS)),
    default="normal",
    show_default=True,
    help="How long the draws of the fit are moved on before they are kept.",
)
fit_draws_option = click.option(
    "--fit-draws",
    type=click.IntRange(min=200, max=100_000),
    default=3456,
    show_default=True,
    help="How many draws of the fit are kept.",
)


def needs_scipy(command: str) -> None:
    """Say which extra a command needs, where it is not there."""
    if importlib.util.find_spec("scipy") is None:
        raise click.UsageError(f"{command} needs scipy: pip install 'bridgewire[bench]'")


def fit_settings(draws: int, effort: str) -> Settings:
    """Settings of a fit, as ``bench fit`` has them for the same options."""
    from bridgewire.bench.calibration.tempering import Settings

    usual = Settings()
    more = EFFORTS[effort]
    return Settings(
        particles=max(-(-draws // (usual.islands * usual.snapshots)), 48),
        burn=round(usual.burn * more),
        final=round(usual.final * more),
    )


def fitted(model: BenchModel, *, seed: int, draws: int, effort: str) -> Posterior:
    """Fit a record as ``bench fit`` does."""
    from bridgewire.bench.calibration.posterior import fit
    from bridgewire.uncertainty.odds import default_workers

    with progress(model.record.title[:30]) as step:
        return fit(
            model,
            seed=seed,
            settings=fit_settings(draws, effort),
            threads=min(default_workers(), 4),
            progress=step,
        )


def studied(model: BenchModel, *, seed: int, draws: int, effort: str) -> FitStudy:
    """Fit a record and hold its trials against one another, as ``bench fit`` does."""
    from bridgewire.bench.calibration.study import study_record
    from bridgewire.uncertainty.odds import default_workers

    with progress(model.record.title[:30]) as step:
        return study_record(
            model,
            seed=seed,
            settings=fit_settings(draws, effort),
            threads=min(default_workers(), 4),
            progress=step,
        )
