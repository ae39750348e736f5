"""``bridgewire bench next``."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.bench_posterior import effort_option, fit_draws_option, seed_option
from bridgewire.cli.numbers import Number, Whole, number_option
from bridgewire.cli.terminal import kit_dir_option, output_option, progress, text_look

if TYPE_CHECKING:
    from bridgewire.bench.design.asking import Asked
    from bridgewire.bench.design.candidates import Candidate
    from bridgewire.bench.wiring import LoadedRecord


_PART = Number(min=0.0, max=1.0, min_open=True, max_open=True)


@click.command("next")
@click.argument("record")
@kit_dir_option
@click.option("--show", metavar="SHOW", help="The question is about a cue of this show.")
@click.option("--cue", metavar="ID", help="Which cue, with --show.")
@click.option("--trial", metavar="ID", help="The question is about a trial of the record.")
@click.option("--shot", metavar="ID", help="Which shot, with --trial; its first where absent.")
@click.option(
    "--igniter",
    metavar="ID",
    help="Which igniter; with --cue all that the cue means where absent.",
)
@number_option(
    "--within-s",
    type=Number(min=0.0, min_open=True),
    metavar="SECONDS",
    help="In which time it should light, from the switching; within its pulse where absent.",
)
@number_option(
    "--reliability",
    type=_PART,
    metavar="P",
    help="How likely it must light for the answer to be yes; the show's requirement where absent.",
)
@number_option(
    "--certainty",
    type=_PART,
    default=0.95,
    show_default=True,
    metavar="P",
    help="From this probability on an answer is sure enough.",
)
@click.option(
    "--candidates",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Choose among the trials of this file, written like a record without results.",
)
@click.option(
    "--write",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Write the first trial as a piece of the record, to be filled in.",
)
@click.option(
    "--form",
    "form_file",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Write the first trial as a form (CSV), to be printed and filled in.",
)
@number_option(
    "--top", type=Whole(min=1, max=100), default=8, show_default=True, help="Trials shown."
)
@number_option(
    "--draws",
    type=Whole(min=100, max=5000),
    default=500,
    show_default=True,
    help="Possible truths that every trial is fired in.",
)
@seed_option
@fit_draws_option
@effort_option
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@output_option
def command(
    record: str,
    kit_dirs: tuple[str, ...],
    show: str | None,
    cue: str | None,
    trial: str | None,
    shot: str | None,
    igniter: str | None,
    within_s: float | None,
    reliability: float | None,
    certainty: float,
    candidates: str | None,
    write: str | None,
    form_file: str | None,
    top: int,
    draws: int,
    seed: int,
    fit_draws: int,
    effort: str,
    form: str,
    output: str | None,
) -> None:
    """Which trial next? Ranks trials by what they tell about a question, for each igniter spent.

    The question is whether an igniter lights often enough: in a show (--show and --cue) or in a
    trial made again (--trial and --igniter). RECORD says what is known so far; it may have no
    shots yet.

    Exit code 1: no trial tells clearly more than nothing, or the draws of the fit have not settled.
    2: bad input.
    """
    from bridgewire import __version__
    from bridgewire.bench.compile_record import compile_record
    from bridgewire.bench.design.study import study_next
    from bridgewire.cli.bench_posterior import fitted, needs_scipy
    from bridgewire.cli.bench_record import load
    from bridgewire.cli.output import refuse_bad_targets, write_files, write_output
    from bridgewire.plugins.manager import load_plugins

    _consistent(show, cue, trial, shot, igniter)
    needs_scipy("bench next")
    inputs = [f for f in (record, show, candidates) if f is not None]
    refuse_bad_targets([f for f in (write, form_file, output) if f is not None], inputs)
    loaded = load(record, kit_dirs)
    plugins = load_plugins()
    if show is not None and cue is not None:
        asked, stated = _of_show(loaded, show, cue, igniter, within_s, kit_dirs)
        required = reliability if reliability is not None else stated
    else:
        assert trial is not None
        assert igniter is not None
        asked = _of_trial(loaded, trial, shot, igniter, within_s)
        required = reliability
    if required is None:
        raise click.UsageError(
            "how likely must it light? The show states no reliability under [requirements]; give "
            "--reliability, 0.99 for example"
            if show is not None
            else "how likely must it light? Give --reliability, 0.99 for example"
        )
    given = None if candidates is None else _candidates(candidates, kit_dirs)
    posterior = None
    if any(t.shot for t in loaded.record.trial):
        model = compile_record(loaded)
        posterior = fitted(model, seed=seed, draws=fit_draws, effort=effort)
    with progress("trials") as step:
        study = study_next(
            loaded,
            asked,
            posterior,
            required=required,
            certainty=certainty,
            candidates=given,
            rows=draws,
            seed=seed,
            models=plugins.models,
            progress=step,
        )
    files: list[tuple[str, str | bytes]] = []
    first = study.ranking.ranked[0].candidate.trial
    if write is not None:
        from bridgewire.report.next_trial_record import trial_toml

        files.append((write, trial_toml(first, loaded.record)))
    if form_file is not None:
        from bridgewire.report.next_trial_record import trial_form_csv

        files.append((form_file, trial_form_csv(first, loaded.record)))
    write_files(files)
    written = [name for name, _ in files]
    if form == "json":
        from bridgewire.report.next_trial_json import next_trial_json

        write_output(next_trial_json(study, __version__, written), output)
    else:
        from bridgewire.report.next_trial_text import next_trial_text

        width, _ = text_look(output)
        write_output(next_trial_text(study, written, max(width, 60), top), output)
    useful = study.settled or bool(study.ranking.telling)
    click.get_current_context().exit(0 if useful and study.trusted else 1)


def _consistent(
    show: str | None, cue: str | None, trial: str | None, shot: str | None, igniter: str | None
) -> None:
    if (show is None) == (trial is None):
        raise click.UsageError("ask about a show (--show and --cue) or about a trial (--trial)")
    if show is not None and cue is None:
        raise click.UsageError("--show needs --cue: which cue is the question about?")
    if show is not None and shot is not None:
        raise click.UsageError("--shot goes with --trial")
    if trial is not None and cue is not None:
        raise click.UsageError("--cue goes with --show")
    if trial is not None and igniter is None:
        raise click.UsageError("--trial needs --igniter: which igniter is the question about?")


def _number(what: str, name: str, names: Sequence[str], where: str) -> int:
    if name in names:
        return list(names).index(name)
    near = difflib.get_close_matches(name, list(names), n=1)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise click.UsageError(f"there is no {what} {name!r} in {where}{hint}")


def _of_show(
    loaded: LoadedRecord,
    show: str,
    cue: str,
    igniter: str | None,
    within_s: float | None,
    kit_dirs: tuple[str, ...],
) -> tuple[Asked, float | None]:
    from bridgewire.api import load_show
    from bridgewire.bench.design.asking import ask_show
    from bridgewire.errors import InputError
    from bridgewire.timeline.assess import assess

    read = load_show(show, kit_dirs=kit_dirs)
    index = _number("cue", cue, [c.id for c in read.show.cue], show)
    which = None
    if igniter is not None:
        names = read.layout.names
        ids = list(names.values())
        which = list(names)[_number("igniter", igniter, ids, show)]
    shas = [(k, v.document.sha256) for k, v in read.kits.items()]
    try:
        asked = ask_show(loaded, assess(read.layout), shas, index, which, within_s)
    except InputError as error:
        raise InputError(read.located(error.findings)) from None
    return asked, read.show.requirements.reliability


def _of_trial(
    loaded: LoadedRecord, trial: str, shot: str | None, igniter: str, within_s: float | None
) -> Asked:
    from bridgewire.bench.design.asking import ask_bench
    from bridgewire.bench.wiring import shot_names
    from bridgewire.report.next_trial_record import igniters_of

    record = loaded.record
    number = _number("trial", trial, [t.id for t in record.trial], loaded.file)
    spec = record.trial[number]
    if not spec.shot:
        raise click.UsageError(f"trial {trial!r} has no shot to ask about")
    names = shot_names(spec)
    which = 0 if shot is None else _number("shot", shot, names, f"trial {trial!r}")
    _number("igniter", igniter, igniters_of(spec, record), f"trial {trial!r}")
    return ask_bench(loaded, number, which, igniter, within_s)


def _candidates(file: str, kit_dirs: tuple[str, ...]) -> tuple[Candidate, ...]:
    from bridgewire.bench.design.given import candidates_in
    from bridgewire.cli.bench_record import load

    found = candidates_in(load(file, kit_dirs))
    if not found:
        raise click.UsageError(f"{Path(file)} has no trial")
    return found
