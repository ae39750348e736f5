"""A run of the check over shows: collects what is to be written and what decides the exit code."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click
from attrs import evolve

from bridgewire import __version__
from bridgewire.api import LoadedShow, Report, check, load_show
from bridgewire.cli.alternatives import Swaps, on_kits, parse_swaps
from bridgewire.cli.terminal import ink_for, progress, terminal_width
from bridgewire.diagnostics import Severity
from bridgewire.documents.loader import load_show as load_show_document
from bridgewire.documents.source import Document
from bridgewire.errors import InputError
from bridgewire.model.show import Show
from bridgewire.plugins.contexts import ReportContext
from bridgewire.plugins.plugin_set import PluginSet
from bridgewire.report.baseline_file import read_baseline, show_key
from bridgewire.report.cautions import CAUTIONS, caution_lines
from bridgewire.report.comparison import Column, comparison_text
from bridgewire.report.contents import Checked
from bridgewire.report.formats import COMPARED, OWN_FORMATS, TEXT, WRITERS
from bridgewire.report.json_report import comparison_data
from bridgewire.report.plain_text import count, visible
from bridgewire.report.problems import problems_text
from bridgewire.report.run import CheckedRun, Unusable
from bridgewire.report.summary_table import summary_table
from bridgewire.report.text import TextOptions, report_text

if TYPE_CHECKING:
    from bridgewire.remedies.numbered import Numbered
    from bridgewire.report.remedy_notes import Remedies


class CheckRun:
    """Checks shows one after the other.

    Parameters
    ----------
    kit_dirs : sequence of str
    formats : sequence of str
        What the report is to be written as, in any number: bridgewire's own formats or names of
        plugins' report writers.
    plugins : PluginSet
    fail_on : str
        Least severity, as a word, of a finding that makes the run fail.
    draws : int, optional
        Draws for odds; none are computed where absent.
    seed : int
        Of the draws.
    today : datetime.date, optional
        The day of the check; the computer's where absent.
    baseline : Path, optional
        File of known findings; it is read at once.
    advise : bool
        Whether remedies are worked out for every cue that is not clear.

    Raises
    ------
    click.UsageError
        If nothing writes reports of one of the names.
    InputError
        If the baseline cannot be used; with every problem in it.
    """

    def __init__(
        self,
        kit_dirs: Sequence[str],
        formats: Sequence[str],
        plugins: PluginSet,
        *,
        fail_on: str,
        draws: int | None = None,
        seed: int = 1,
        today: datetime.date | None = None,
        baseline: Path | None = None,
        advise: bool = False,
    ) -> None:
        self.kit_dirs = list(kit_dirs)
        self.plugins = plugins
        self.formats = tuple(formats)
        for name in formats:
            if name not in OWN_FORMATS and name not in plugins.writers:
                known = ", ".join((*OWN_FORMATS, *sorted(plugins.writers)))
                raise click.UsageError(f"there is no format {name!r}; there are: {known}")
        self.fail_on = Severity.from_word(fail_on)
        self.draws, self.seed = draws, seed
        self.today = today
        self.baseline_file = baseline
        self.baseline = None if baseline is None else read_baseline(baseline)
        self.advise = advise
        self.advice: dict[str, tuple[Numbered, str]] = {}
        self.shows = 0
        self.reports: list[Report] = []
        self.comparisons: list[tuple[str, str, list[Column]]] = []
        self.unusable: list[Unusable] = []

    def check(self, files: Sequence[str]) -> None:
        """Check each show as it is written."""
        self.shows = len(files)
        for file in files:
            try:
                loaded = self._load(file)
                self.reports.append(self._against(self._checked(loaded)))
            except InputError as error:
                self._refuse(file, error)
                continue
            if self.advise:
                self._work_out(loaded)

    def _work_out(self, loaded: LoadedShow) -> None:
        """Seek remedies for a show that has been checked."""
        from bridgewire.cli.case import case_of
        from bridgewire.remedies.numbered import numbered
        from bridgewire.remedies.search import advise

        with progress("remedies") as step:
            found = numbered(advise(case_of(loaded), progress=step))
        self.advice[loaded.file] = (found, loaded.show.costs.currency)

    def remedies(self) -> Remedies | None:
        """What gives the remedies of a finding; None where none were asked for."""
        if not self.advise:
            return None
        from bridgewire.report.remedy_notes import remedy_notes

        return remedy_notes(self.advice)

    def compare(
        self, files: Sequence[str], lists: Sequence[Sequence[str]], swap_texts: Sequence[str]
    ) -> None:
        """Check each show as it is written and on other kit."""
        for name in self.formats:
            if name not in COMPARED:
                allowed = " or ".join(COMPARED)
                raise click.UsageError(f"format {name}: a comparison (--kit, --swap) is {allowed}")
        self.shows = len(files)
        swaps = parse_swaps(swap_texts)
        others: Sequence[Sequence[str] | None] = lists or [None]
        for file in files:
            try:
                show, document = load_show_document(Path(file), self.plugins.importers)
            except InputError as error:
                self._refuse(file, InputError((*error.findings, *self.plugins.findings)))
                continue
            columns = [self._column("as written: ", file, show, document, None, {})]
            columns += [self._column("", file, show, document, kits, swaps) for kits in others]
            self.comparisons.append((file, show.title, columns))

    def _column(
        self,
        prefix: str,
        file: str,
        show: Show,
        document: Document,
        kits: Sequence[str] | None,
        swaps: Swaps,
    ) -> Column:
        name = prefix + " + ".join(show.kits if kits is None else kits)
        if swaps:
            name += " with " + ", ".join(f"{new} for {old}" for old, new in swaps.items())
        try:
            loaded = on_kits(file, show, document, self.kit_dirs, kits, swaps, self.plugins)
        except InputError as error:
            return Column(name, None, error.findings)
        return Column(name, self._checked(loaded))

    def _checked(self, loaded: LoadedShow) -> Report:
        with progress(loaded.show.title) as step:
            if self.draws is None:
                return check(loaded, progress=step, today=self.today)
            from bridgewire.uncertainty.odds import default_workers

            workers = default_workers()
            return check(
                loaded,
                progress=step,
                draws=self.draws,
                seed=self.seed,
                workers=workers,
                today=self.today,
            )

    def _against(self, report: Report) -> Report:
        """The report with the findings that the baseline knows set apart."""
        if self.baseline is None or self.baseline_file is None:
            return report
        return report.against(self.baseline.of_show(show_key(report.file, self.baseline_file)))

    def _load(self, file: str) -> LoadedShow:
        return load_show(file, kit_dirs=self.kit_dirs, plugins=self.plugins)

    def _refuse(self, file: str, error: InputError) -> None:
        """Show what is wrong with a file at once, and go on with the next."""
        self.unusable.append(Unusable(file, error.findings))
        ink = ink_for("auto", sys.stderr)
        text = problems_text(
            error.findings, terminal_width(sys.stderr), ink, file=self._named(file)
        )
        click.echo(text, nl=False, err=True, color=ink.colour)

    def _named(self, file: str) -> str:
        """A file's name where it has to be told from others."""
        return file if self.shows > 1 else ""

    def written(self, name: str, options: TextOptions, *, problems: bool = False) -> str | bytes:
        """Everything to be written, in one of the formats asked for.

        Parameters
        ----------
        name : str
            Of the format.
        options : TextOptions
            For the format ``text``.
        problems : bool
            Whether text begins with what is wrong with files that could not be used. A screen has
            had it already; a file that is read later has to say so itself.

        Raises
        ------
        InputError
            If a plugin's report writer fails.
        """
        if name == TEXT:
            wrong = (
                [
                    problems_text(found, options.width, options.ink, file=self._named(file))
                    for file, found in self.unusable
                ]
                if problems
                else []
            )
            return "\n".join([*wrong, *filter(None, [self._text(options)])])
        if name in WRITERS:
            return WRITERS[name](self.outcome())
        context = ReportContext(tuple(self.reports), CAUTIONS, __version__)
        return self.plugins.writers[name].write(context)

    def outcome(self) -> CheckedRun:
        """Everything found, for the writers of reports."""
        return CheckedRun(
            tuple(self.reports),
            tuple(self.unusable),
            __version__,
            self.fail_on,
            rules=self.plugins.rules,
            comparisons=tuple(comparison_data(*c) for c in self.comparisons),
            remedies=self.remedies(),
        )

    def _text(self, o: TextOptions) -> str:
        o = evolve(o, remedies=self.remedies())
        shows = [report_text(r, o) for r in self.reports]
        shows += [
            comparison_text(title, columns, width=o.width, verbose=o.verbose, ink=o.ink)
            for _, title, columns in self.comparisons
        ]
        parts = [f"\n{'=' * o.width}\n\n".join(shows)] if shows else []
        if self.shows > 1:
            parts.append(self._summary(o))
        if shows:
            parts.append("\n".join(caution_lines(o.width, o.ink)) + "\n")
        return "\n".join(parts)

    def _summary(self, o: TextOptions) -> str:
        if not self.comparisons:
            unread = [(file, len(found)) for file, found in self.unusable]
            table = summary_table(self.reports, unread, width=o.width, ink=o.ink)
            return "\n".join(table) + "\n"
        lines = [o.ink("Shows", "bold")]
        for file, _, columns in self.comparisons:
            answers = ", ".join(f"{visible(c.name)}: {c.answer}" for c in columns)
            lines.append(f"  {visible(file)}: {answers}")
        lines += [
            f"  {visible(file)}: not checked, {count(len(found), 'problem')}"
            for file, found in self.unusable
        ]
        return "\n".join(lines) + "\n"

    def exit_code(self) -> int:
        """The exit code: 2 for a show that could not be read, 1 for findings that count, else 0."""
        if self.unusable:
            return 2
        limit = self.fail_on
        if any(_fails(r, limit) for r in self.reports):
            return 1
        for _, _, columns in self.comparisons:
            if all(c.report is None or _fails(c.report, limit) for c in columns[1:]):
                return 1
        return 0


def _fails(report: Checked, limit: Severity) -> bool:
    return any(f.severity >= limit for f in report.findings)
