"""A bench record and what it says, for commands that build on it."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from bridgewire.cli.numbers import Whole, number_option
from bridgewire.cli.terminal import progress

if TYPE_CHECKING:
    from bridgewire.bench.calibration.posterior import Posterior
    from bridgewire.bench.calibration.profile import FittedKit
    from bridgewire.bench.calibration.study import FitStudy
    from bridgewire.bench.calibration.tempering import Settings
    from bridgewire.bench.forward import BenchModel

EFFORTS = {"quick": 0.5, "normal": 1.0, "long": 3.0}
"""Times the usual number of moves."""
effort_option = click.option(
    "--effort",
    type=click.Choice(list(EFFORTS)),
    default="normal",
    show_default=True,
    help="How long the draws of the fit are moved on before they are kept.",
)
fit_draws_option = number_option(
    "--fit-draws",
    type=Whole(min=200, max=100_000),
    default=3456,
    show_default=True,
    help="How many draws of the fit are kept.",
)
seed_option = number_option(
    "--seed", type=Whole(), default=1, show_default=True, help="Other seed, other draws."
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


def model_with_shots(record: str, kit_dirs: Iterable[str]) -> BenchModel:
    """The forward model of a record that has shots to learn from.

    Raises
    ------
    InputError
        With all that is wrong with the record.
    click.UsageError
        If it has no shots.
    """
    from bridgewire.bench.compile_record import compile_record
    from bridgewire.cli.bench_record import load

    model = compile_record(load(record, kit_dirs))
    if not any(t.shot for t in model.record.trial):
        raise click.UsageError(f"{record} has no shots to learn from")
    return model


def fitted(model: BenchModel, *, seed: int, draws: int, effort: str) -> Posterior:
    """Fit a record as ``bench fit`` does."""
    from bridgewire.bench.calibration.posterior import fit

    with progress(model.record.title) as step:
        return fit(
            model,
            seed=seed,
            settings=fit_settings(draws, effort),
            threads=_threads(),
            progress=step,
        )


def studied(model: BenchModel, *, seed: int, draws: int, effort: str) -> FitStudy:
    """Fit a record and hold its trials against one another, as ``bench fit`` does."""
    from bridgewire.bench.calibration.study import study_of

    return study_of(fitted(model, seed=seed, draws=draws, effort=effort))


def kit_of(study: FitStudy, kit_id: str) -> FittedKit:
    """What a fit says, as a kit profile that is not written yet."""
    from bridgewire import __version__
    from bridgewire.bench.calibration.profile import fitted_kit

    return fitted_kit(
        study.posterior,
        study.learned,
        study.agreement,
        kit_id=kit_id,
        title=f"fitted to {study.posterior.model.record.title}",
        version=__version__,
    )


def _threads() -> int:
    from bridgewire.uncertainty.odds import default_workers

    return min(default_workers(), 4)
