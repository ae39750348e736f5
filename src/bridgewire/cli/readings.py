"""``bridgewire readings``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.numbers import Number, number_option
from bridgewire.cli.terminal import (
    colour_option,
    kit_dir_option,
    output_option,
    progress,
    text_look,
)

if TYPE_CHECKING:
    from bridgewire.timeline.outcomes import Assessment

_DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t"}


@click.command("readings")
@click.argument("show", shell_complete=show_files)
@click.argument("file", required=False)
@kit_dir_option
@number_option(
    "--meter-pct",
    type=Number(0.0, 50.0),
    default=1.0,
    show_default=True,
    help="How far the meter may be off, in percent of the reading ...",
)
@number_option(
    "--meter-ohm",
    type=Number(0.0, 20.0),
    default=0.1,
    show_default=True,
    help="... and in ohm (its last digits). Take both from your meter's papers.",
)
@number_option(
    "--leads-ohm",
    type=Number(0.0, 50.0),
    default=0.0,
    show_default=True,
    help="Resistance of the meter's leads, to be taken off where a row states none of its own.",
)
@click.option("--template", is_flag=True, help="Write a file of all circuits to fill in.")
@click.option(
    "--moment",
    type=click.Choice(["before", "after", "both"]),
    default="before",
    show_default=True,
    help="With --template: readings before firing, after the show, or both.",
)
@click.option(
    "--delimiter",
    type=click.Choice(list(_DELIMITERS)),
    default="comma",
    show_default=True,
    help="With --template: what parts the cells.",
)
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@click.option(
    "--fail-on",
    type=click.Choice(["info", "warning", "error"]),
    default="error",
    show_default=True,
    help="Least severity of a finding that makes the exit code 1.",
)
@click.option("-v", "--verbose", is_flag=True, help="Every reading, also those in order.")
@click.option("--all", "everything", is_flag=True, help="Every finding, not three of each code.")
@colour_option
@output_option
def command(
    show: str,
    file: str | None,
    kit_dirs: tuple[str, ...],
    meter_pct: float,
    meter_ohm: float,
    leads_ohm: float,
    template: bool,
    moment: str,
    delimiter: str,
    form: str,
    fail_on: str,
    verbose: bool,
    everything: bool,
    colour: str,
    output: str | None,
) -> None:
    """Compare meter readings in FILE.csv with what SHOW expects, and find what is wrong.

    Every reading is held against the band of its circuit. For circuits that are off the causes
    are ranked by likelihood from the circuit model, with the measurement that would tell the
    likeliest apart. Start with --template, which writes a file to fill in.

    Exit code 1: a finding at or above --fail-on. Exit code 2: a file could not be used; every
    problem in it is shown with its place.
    """
    if template == (file is not None):
        raise click.UsageError("give either a FILE of readings or --template")
    from bridgewire import __version__
    from bridgewire.cli.loaded_show import loaded_show
    from bridgewire.cli.output import refuse_bad_targets, write_output
    from bridgewire.timeline.assess import assess

    refuse_bad_targets([output] if output else [], [show] if file is None else [show, file])
    loaded = loaded_show(show, kit_dirs)
    with progress(loaded.show.title) as step:
        assessment = assess(loaded.layout, progress=step)
    if template:
        text = _template(assessment, moment, _DELIMITERS[delimiter])
        write_output(text if output else text.replace("\r\n", "\n"), output)
        return
    assert file is not None
    from bridgewire.bench.meter.readings import places_of, study_readings
    from bridgewire.diagnostics import Severity
    from bridgewire.documents.readings_csv import read_readings
    from bridgewire.model.readings import MeterAccuracy
    from bridgewire.report.readings_findings import readings_findings

    read = read_readings(file, places_of(assessment))
    study = study_readings(assessment, read, MeterAccuracy(meter_pct, meter_ohm), leads_ohm)
    findings = readings_findings(study)
    if form == "json":
        from bridgewire.report.readings_json import readings_json

        text = readings_json(study, findings, loaded.show.title, loaded.file, __version__)
        write_output(text, output)
    else:
        from bridgewire.report.readings_text import readings_text

        width, ink = text_look(output, colour)
        text = readings_text(
            study,
            findings,
            loaded.show.title,
            loaded.file,
            width=width,
            verbose=verbose,
            everything=everything,
            ink=ink,
        )
        write_output(text, output, ink.colour)
    limit = Severity.from_word(fail_on)
    click.get_current_context().exit(1 if any(f.severity >= limit for f in findings) else 0)


def _template(assessment: Assessment, moment: str, delimiter: str) -> str:
    from bridgewire.bench.meter.expected import expected_resistances
    from bridgewire.report.readings_template import readings_template

    wanted = [e for e in expected_resistances(assessment) if moment in ("both", e.moment)]
    return readings_template(wanted, delimiter)
