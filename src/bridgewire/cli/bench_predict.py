"""``bridgewire bench predict``."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.bench_posterior import effort_option, fit_draws_option, seed_option
from bridgewire.cli.numbers import Whole, number_option
from bridgewire.cli.terminal import kit_dir_option, output_option, progress, text_look

if TYPE_CHECKING:
    from bridgewire.api import LoadedShow
    from bridgewire.bench.prediction import Prediction, Side
    from bridgewire.kits.discovery import LoadedKit

FITTED = "fitted-to-record"
"""Id of the kit that is made of a record for the time of the command."""


@click.command("predict")
@click.argument("show")
@click.option("--kit", "kit_id", metavar="ID", help="A kit profile that trials have taught.")
@click.option(
    "--record",
    type=click.Path(dir_okay=False),
    metavar="RECORD",
    help="A bench record, which is fitted first.",
)
@kit_dir_option
@number_option(
    "--draws",
    type=Whole(min=0, max=1_000_000),
    default=10_000,
    show_default=True,
    help="How many times the show is fired for the probabilities; 0 for none.",
)
@seed_option
@fit_draws_option
@effort_option
@click.option("--all", "everything", is_flag=True, help="Every igniter, not only what moved.")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@output_option
def command(
    show: str,
    kit_id: str | None,
    record: str | None,
    kit_dirs: tuple[str, ...],
    draws: int,
    seed: int,
    fit_draws: int,
    effort: str,
    everything: bool,
    form: str,
    output: str | None,
) -> None:
    """Predict SHOW with what trials taught: which verdicts change, and which values moved them.

    The show is computed with its kit as it is, and with the kit that `bench fit` wrote (--kit) or
    that a record gives (--record).

    Exit code 1: a verdict gets worse, or the show requires a reliability that some igniter has not;
    or the draws of the fit have not settled. 2: bad input.
    """
    from bridgewire import __version__
    from bridgewire.cli.output import refuse_bad_targets, write_output

    if (kit_id is None) == (record is None):
        raise click.UsageError("name either a kit (--kit ID) or a record (--record RECORD)")
    inputs = [show] if record is None else [show, record]
    refuse_bad_targets([output] if output else [], inputs)
    with (
        tempfile.TemporaryDirectory() as scratch,
        _taught(kit_id, record, kit_dirs, Path(scratch), seed, fit_draws, effort) as (
            name,
            folders,
            notes,
            good,
        ),
    ):
        found = _predicted(show, name, folders, draws, seed, notes)
    if form == "json":
        from bridgewire.report.predict_json import predict_json

        write_output(predict_json(found, __version__), output)
    else:
        from bridgewire.report.predict_text import predict_text

        width, _ = text_look(output)
        write_output(predict_text(found, max(width, 60), everything=everything), output)
    bad = found.got_worse or found.falls_short or not good
    click.get_current_context().exit(1 if bad else 0)


@contextmanager
def _taught(
    kit_id: str | None,
    record: str | None,
    kit_dirs: tuple[str, ...],
    scratch: Path,
    seed: int,
    fit_draws: int,
    effort: str,
) -> Iterator[tuple[str, tuple[str, ...], tuple[str, ...], bool]]:
    """Id of the kit, folders to find it in, what to say of it, and whether it is to be trusted."""
    if kit_id is not None:
        yield kit_id, kit_dirs, (), True
        return
    assert record is not None
    from bridgewire.authoring.fitted_profile import write_fitted
    from bridgewire.cli.bench_posterior import kit_of, model_with_shots, needs_scipy, studied
    from bridgewire.kits.discovery import kit_folders

    needs_scipy("bench predict --record")
    model = model_with_shots(record, kit_dirs)
    study = studied(model, seed=seed, draws=fit_draws, effort=effort)
    folders = kit_folders(Path(record), [Path(d) for d in kit_dirs])
    write_fitted(kit_of(study, FITTED), scratch, folders)
    yield (
        FITTED,
        (str(scratch), *map(str, folders)),
        tuple(study.cautions()),
        study.posterior.diagnostics.good,
    )


def _predicted(
    file: str,
    kit_id: str,
    folders: Sequence[str],
    draws: int,
    seed: int,
    notes: Sequence[str],
) -> Prediction:
    from bridgewire.api import resolve_show
    from bridgewire.bench.kit_changes import show_with_kit
    from bridgewire.bench.predict import predict
    from bridgewire.cli.loaded_show import loaded_show
    from bridgewire.kits.discovery import find_kits, kit_folders

    before = loaded_show(file, folders)
    places = [*kit_folders(Path(file), [Path(d) for d in folders]), *before.plugins.kits]
    taught = find_kits([kit_id], places)[kit_id]
    show = show_with_kit(before.show, taught.kit)
    after = resolve_show(
        file,
        show,
        before.document,
        kit_folders(Path(file), [Path(d) for d in folders]),
        before.plugins,
    )
    with progress(before.show.title) as step:
        return predict(
            file,
            taught.kit,
            _side(before, draws, seed),
            _side(after, draws, seed),
            models=before.plugins.models,
            samples=taught.samples is not None,
            notes=(*notes, *_warnings(before, taught)),
            progress=step,
        )


def _side(loaded: LoadedShow, draws: int, seed: int) -> Side:
    from bridgewire.api import check
    from bridgewire.bench.prediction import Side

    report = check(loaded, draws=draws or None, seed=seed)
    assert report.assessment is not None
    return Side(loaded.layout, report.assessment, report.findings, report.odds)


def _warnings(before: LoadedShow, taught: LoadedKit) -> Iterator[str]:
    """What of the show the kit says nothing of."""
    others = [k for k in before.show.kits if k not in taught.kit.extends and k != taught.kit.id]
    if others:
        yield (
            f"The show's kit{'s' if len(others) > 1 else ''} {', '.join(others)} "
            f"{'are' if len(others) > 1 else 'is'} none that {taught.kit.id} builds on: what the "
            "show takes from there stays as it is, unless it has the same name."
        )
