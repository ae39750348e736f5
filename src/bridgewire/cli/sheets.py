"""``bridgewire sheets``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.numbers import Number, Whole, number_option
from bridgewire.cli.terminal import kit_dir_option, progress, terminal_width
from bridgewire.report.sheets import NAMES

if TYPE_CHECKING:
    from bridgewire.api import Report
    from bridgewire.circuit.catalogue import Catalogue
    from bridgewire.report.sheets.contents import Sheet

_FORMS = {
    "pdf": ("pdf",),
    "html": ("html",),
    "csv": ("csv",),
    "both": ("pdf", "html"),
    "all": ("pdf", "html", "csv"),
}


@click.command("sheets")
@click.argument("show", shell_complete=show_files)
@click.option(
    "--folder",
    required=True,
    type=click.Path(file_okay=False),
    metavar="DIR",
    help="Where to write; made if it is not there. Sheets of the same name are replaced.",
)
@kit_dir_option
@click.option(
    "--sheet",
    "names",
    multiple=True,
    type=click.Choice(NAMES),
    help="Only this sheet. May be given several times.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Size of the pages.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(list(_FORMS)),
    default="pdf",
    show_default=True,
    help="What to write: both is pdf and html; csv has the same data as plain tables.",
)
@number_option(
    "--confidence",
    type=Number(min=0.5, max=1.0, max_open=True),
    default=0.99,
    show_default=True,
    help="Shopping list: probability that enough igniters are good.",
)
@click.option(
    "--dud-rate",
    "dud_rates",
    multiple=True,
    metavar="[CLASS=]SHARE",
    help="Shopping list: share of duds, as 0.01 or 1%, of an igniter class or of all others. May "
    "be given several times. No spares are computed for a class without one.",
)
@number_option(
    "--rows",
    type=Whole(min=1, max=500),
    default=22,
    show_default=True,
    help="Trial form: empty rows.",
)
@number_option(
    "--seconds",
    type=Number(min=0.1, max=3600.0),
    default=20.0,
    show_default=True,
    help="Cut list: longest time to search for the best plan of one cable.",
)
def command(
    show: str,
    folder: str,
    kit_dirs: tuple[str, ...],
    names: tuple[str, ...],
    paper: Literal["a4", "letter"],
    form: str,
    confidence: float,
    dud_rates: tuple[str, ...],
    rows: int,
    seconds: float,
) -> None:
    """Write the sheets that a crew takes to the field.

    Cut list with drum plan, wiring by position, pulses by box, meter readings, a form for bench
    trials, shopping list, labels. All are made before any is written. Each carries the show, its
    revision, page numbers and cautions.

    Needs the extra: pip install 'bridgewire[sheets]'. The exit code is 1 where a sheet has an
    error to report, such as too little cable.
    """
    from bridgewire.api import check
    from bridgewire.cli.loaded_show import loaded_show
    from bridgewire.cli.output import write_files
    from bridgewire.diagnostics import Severity
    from bridgewire.report.sheets.make import SheetOptions, make_sheets

    loaded = loaded_show(show, kit_dirs)
    rates = parse_dud_rates(dud_rates, loaded.layout.catalogue)
    with progress(loaded.show.title) as step:
        report = check(loaded, progress=step)
    wanted = tuple(n for n in NAMES if n in names) if names else NAMES
    sheets = make_sheets(report, wanted, SheetOptions(confidence, rates, rows, seconds))
    files, lines = _files(sheets, report, paper, _FORMS[form])
    try:
        Path(folder).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise click.ClickException(f"cannot make {folder}: {error.strerror}") from None
    write_files((str(Path(folder, name)), data) for name, data in files.items())
    for line in lines:
        click.echo(line)
    findings = loaded.located([f for s in sheets for f in s.findings])
    if findings:
        from bridgewire.report.findings_text import findings_lines

        click.echo()
        for line in findings_lines(findings, width=terminal_width(sys.stdout), everything=True):
            click.echo(line)
    click.get_current_context().exit(int(any(f.severity is Severity.ERROR for f in findings)))


def _files(
    sheets: tuple[Sheet, ...],
    report: Report,
    paper: Literal["a4", "letter"],
    forms: tuple[str, ...],
) -> tuple[dict[str, str | bytes], list[str]]:
    """All files, made, and a line about each."""
    from bridgewire.report.plain_text import count, pad
    from bridgewire.report.sheets.sheet_csv import sheet_csv
    from bridgewire.report.sheets.sheet_html import sheet_html
    from bridgewire.report.sheets.sheet_pdf import html_to_pdf

    files: dict[str, str | bytes] = {}
    notes: dict[str, str] = {}
    with progress("sheets") as step:
        for done, sheet in enumerate(sheets):
            if step is not None:
                step(done, len(sheets))
            html = sheet_html(sheet, report, paper) if {"html", "pdf"} & set(forms) else ""
            if "pdf" in forms:
                pdf = html_to_pdf(html)
                files[f"{sheet.name}.pdf"] = pdf.data
                notes[f"{sheet.name}.pdf"] = f"{sheet.title}, {count(pdf.pages, 'page')}"
            if "html" in forms:
                files[f"{sheet.name}.html"] = html
                notes[f"{sheet.name}.html"] = sheet.title
            if "csv" in forms:
                for name, text in sheet_csv(sheet).items():
                    files[f"{name}.csv"] = text
                    rows = len(sheet.records[name][1])
                    notes[f"{name}.csv"] = f"{sheet.title}, {count(rows, 'row')}"
    return files, [f"{pad(name, 20)} {notes[name]}" for name in files]


def parse_dud_rates(texts: tuple[str, ...], catalogue: Catalogue) -> dict[str, float]:
    """Read ``CLASS=SHARE`` and ``SHARE``; a share is a number or a percentage.

    Raises
    ------
    click.UsageError
        For a class that no kit has, a share out of range, or a class given twice.
    """
    rates: dict[str, float] = {}
    for text in texts:
        name, _, share = text.rpartition("=")
        full = "*"
        if name:
            found = catalogue.igniters.full_id(name)
            if found is None:
                hint = catalogue.igniters.suggestion(name)
                hint = f"; {hint}" if hint else ""
                raise click.UsageError(f"--dud-rate: no kit has an igniter class {name!r}{hint}")
            full = found
        if full in rates:
            raise click.UsageError(f"--dud-rate {text}: the share is given twice")
        rates[full] = _share(share, text)
    return rates


def _share(text: str, whole: str) -> float:
    percent = text.strip().endswith("%")
    try:
        value = float(text.strip().removesuffix("%")) / (100.0 if percent else 1.0)
    except ValueError:
        value = -1.0
    if not 0.0 < value < 1.0:
        raise click.UsageError(
            f"--dud-rate {whole}: a share is a number above 0 and below 1, or a percentage; none "
            "met so far does not make it 0"
        )
    return value
