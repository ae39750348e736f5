"""``bridgewire baseline``."""

from __future__ import annotations

import datetime
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import show_files
from bridgewire.cli.lazy import GuessingGroup
from bridgewire.cli.terminal import allow_broken_option, kit_dir_option, progress, today_option

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from bridgewire.api import Report
    from bridgewire.diagnostics import Finding
    from bridgewire.plugins.plugin_set import PluginSet
    from bridgewire.report.baseline import Baseline, KnownFinding

_shows = click.argument(
    "shows", nargs=-1, required=True, metavar="SHOW...", shell_complete=show_files
)
_file = click.option(
    "--baseline",
    "file",
    type=click.Path(dir_okay=False),
    default="baseline.toml",
    show_default=True,
    metavar="FILE",
    help="The file of known findings.",
)


@click.group("baseline", cls=GuessingGroup)
def command() -> None:
    """Keep a file of findings that are known, so that a check fails only for new ones.

    For a group that begins to check shows that it has fired for years: create the file once, check
    with "bridgewire check --baseline FILE", and prune it as things are mended. Known findings are
    still counted and named in every report. A finding that gets worse is new.
    """


@command.command("create")
@_shows
@_file
@kit_dir_option
@click.option(
    "--severity",
    type=click.Choice(["info", "warning", "error"]),
    default="warning",
    show_default=True,
    help="Least severity of the findings to take in.",
)
@click.option(
    "--update",
    is_flag=True,
    help="The file is there already: write the entries of these shows anew, keep those of others.",
)
@today_option
@allow_broken_option
def create_command(
    shows: tuple[str, ...],
    file: str,
    kit_dirs: tuple[str, ...],
    severity: str,
    update: bool,
    today: datetime.date | None,
    allow_broken: bool,
) -> None:
    """Write down what is found now in shows, or in folders of shows.

    A file that is there already is not replaced without --update. Findings that say that a show
    was not checked in full cannot be known and are left out.
    """
    from bridgewire.cli.output import refuse_bad_targets, write_output
    from bridgewire.cli.show_files import show_files
    from bridgewire.diagnostics import Severity
    from bridgewire.plugins.manager import load_plugins
    from bridgewire.report.baseline import Baseline, entries_of
    from bridgewire.report.baseline_file import baseline_text, read_baseline, show_key
    from bridgewire.report.run import show_of

    target = Path(file)
    files = show_files(shows)
    refuse_bad_targets([file], files)
    if target.exists() and not update:
        raise click.UsageError(
            f"{file} is there already; --update writes the entries of these shows anew, "
            '"bridgewire baseline prune" takes out what has been mended'
        )
    before = read_baseline(target) if target.exists() else Baseline()
    reports = _checked(files, kit_dirs, today, load_plugins(allow_broken=allow_broken))
    least = Severity.from_word(severity)
    made = [
        entry
        for r in reports
        for entry in entries_of(r.findings, show_of(r), show_key(r.file, target), least)
    ]
    named = {show_key(name, target) for name in files}
    kept = [k for k in before.known if k.show not in named]
    write_output(baseline_text(Baseline((*kept, *made))), file)
    click.echo(_created(file, made, len(kept), reports), nl=False)


@command.command("prune")
@_shows
@_file
@kit_dir_option
@click.option(
    "--dry-run",
    is_flag=True,
    help="Change nothing; exit code 1 where there is something to take out.",
)
@today_option
@allow_broken_option
def prune_command(
    shows: tuple[str, ...],
    file: str,
    kit_dirs: tuple[str, ...],
    dry_run: bool,
    today: datetime.date | None,
    allow_broken: bool,
) -> None:
    """Take out what is found no more in shows, or in folders of shows.

    Entries of shows that are not named stay, unless their file is gone. Nothing is ever added.
    """
    from bridgewire.cli.output import write_output
    from bridgewire.cli.show_files import show_files
    from bridgewire.plugins.manager import load_plugins
    from bridgewire.report.baseline_file import baseline_text, read_baseline

    before = read_baseline(Path(file))
    plugins = load_plugins(allow_broken=allow_broken)
    reports = _checked(show_files(shows), kit_dirs, today, plugins)
    codes = frozenset(r.rule.code for r in plugins.rules)
    after, gone = _pruned(before, reports, Path(file), codes)
    for entry, why in gone:
        click.echo(f"{'would go' if dry_run else 'gone'}: {_told(entry)}{why}")
    if gone and not dry_run:
        write_output(baseline_text(after), file)
    stays = sum(k.count for k in after.known)
    went = sum(k.count for k, _ in gone)
    if gone:
        verb = "would be taken out" if dry_run else "taken out"
        click.echo(f"{file}: {went} {verb}, {stays} still known")
    else:
        click.echo(f"{file}: all {stays} still there")
    click.get_current_context().exit(1 if gone and dry_run else 0)


def _pruned(
    before: Baseline, reports: Iterable[Report], file: Path, codes: frozenset[str]
) -> tuple[Baseline, list[tuple[KnownFinding, str]]]:
    """The baseline that remains, and what went with the reason why."""
    from bridgewire.report.baseline import Baseline, still_there
    from bridgewire.report.baseline_file import show_key
    from bridgewire.report.run import show_of

    by_show = {show_key(r.file, file): r for r in reports}
    kept: list[KnownFinding] = []
    gone: list[tuple[KnownFinding, str]] = []
    for show in dict.fromkeys(k.show for k in before.known):
        entries = before.of_show(show)
        report = by_show.get(show)
        if report is not None:
            stay, went = still_there(entries, report.findings, show_of(report), also=codes)
            kept += stay
            gone += [(e, "") for e in went]
        elif (file.parent / show).exists():
            kept += entries
        else:
            gone += [(e, " (the show is not there)") for e in entries]
    return Baseline(tuple(kept)), gone


def _checked(
    files: Sequence[str],
    kit_dirs: Sequence[str],
    today: datetime.date | None,
    plugins: PluginSet,
) -> list[Report]:
    """Check every show.

    Raises
    ------
    InputError
        With the problems of every show that cannot be used.
    """
    from bridgewire.api import check, load_show
    from bridgewire.errors import InputError

    reports = []
    problems: list[Finding] = []
    for file in files:
        try:
            loaded = load_show(file, kit_dirs=kit_dirs, plugins=plugins)
        except InputError as error:
            problems += error.findings
            continue
        with progress(loaded.show.title) as step:
            reports.append(check(loaded, progress=step, today=today))
    if problems:
        raise InputError(tuple(problems))
    return reports


def _created(file: str, made: Sequence[KnownFinding], kept: int, reports: Sequence[Report]) -> str:
    from bridgewire.report.baseline import can_be_known
    from bridgewire.report.contents import SEVERITY_NOUNS
    from bridgewire.report.plain_text import count, visible, wrap

    total = sum(k.count for k in made)
    lines = [f"{visible(file)}: {count(total, 'finding')} of {count(len(reports), 'show')} known"]
    if kept:
        lines[0] += f", {count(kept, 'entry', 'entries')} of other shows kept"
    by_show: dict[str, Counter[str]] = {}
    for entry in made:
        by_show.setdefault(entry.show, Counter())[entry.severity] += entry.count
    for show, counts in by_show.items():
        words = [count(counts[s.word], n) for s, n in SEVERITY_NOUNS.items() if counts[s.word]]
        lines.append(f"  {visible(show)}: {', '.join(words)}")
    safety = [k for k in made if k.code.startswith("SAF")]
    if safety:
        codes = ", ".join(sorted({k.code for k in safety}))
        number = count(sum(k.count for k in safety), "finding")
        lines += wrap(
            f"{number} about the safety of people ({codes}): to know of them makes nobody safe. "
            "Mend these first.",
            80,
        )
    left = Counter(f.code for r in reports for f in r.findings if not can_be_known(f))
    lines += [f"not taken in, cannot be known: {code} ({n})" for code, n in sorted(left.items())]
    return "\n".join(lines) + "\n"


def _told(entry: KnownFinding) -> str:
    from bridgewire.report.plain_text import visible

    number = f" ({entry.count})" if entry.count > 1 else ""
    return f"{visible(entry.show)} {visible(entry.code)}{number}: {visible(entry.message)}"
