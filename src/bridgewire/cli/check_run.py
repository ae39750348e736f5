"""A run of the check over shows: collects what is to be written and what decides the exit code."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

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
from bridgewire.plugins.wrappers import OWN_FORMATS
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.comparison import Column, comparison_text
from bridgewire.report.contents import Checked
from bridgewire.report.json_report import comparison_data, reports_json
from bridgewire.report.plain_text import count, visible
from bridgewire.report.problems import problems_text
from bridgewire.report.text import TextOptions, caution_lines, one_line, report_text


class CheckRun:
    """Checks shows one after the other.

    Parameters
    ----------
    kit_dirs : sequence of str
    form : str
        ``text``, ``json`` or the name of a plugin's report writer.
    options : TextOptions
    plugins : PluginSet
    draws : int, optional
        Draws for odds; none are computed where absent.
    seed : int
        Of the draws.

    Raises
    ------
    click.UsageError
        If nothing writes reports of that name.
    """

    def __init__(
        self,
        kit_dirs: Sequence[str],
        form: str,
        options: TextOptions,
        plugins: PluginSet,
        *,
        draws: int | None = None,
        seed: int = 1,
    ) -> None:
        self.kit_dirs = list(kit_dirs)
        self.plugins = plugins
        self.form = form
        self.writer = plugins.writers.get(form)
        if self.writer is None and form not in OWN_FORMATS:
            known = ", ".join((*OWN_FORMATS, *sorted(plugins.writers)))
            raise click.UsageError(f"--format: there is no {form!r}; there are: {known}")
        self.options = options
        self.draws, self.seed = draws, seed
        self.shows = 0
        self.reports: list[Report] = []
        self.comparisons: list[tuple[str, str, list[Column]]] = []
        self.unusable: list[tuple[str, int]] = []

    def check(self, files: Sequence[str]) -> None:
        """Check each show as it is written."""
        self.shows = len(files)
        for file in files:
            try:
                self.reports.append(self._checked(self._load(file)))
            except InputError as error:
                self._refuse(file, error)

    def compare(
        self, files: Sequence[str], lists: Sequence[Sequence[str]], swap_texts: Sequence[str]
    ) -> None:
        """Check each show as it is written and on other kit."""
        if self.writer is not None:
            raise click.UsageError(
                f"--format {self.form}: a comparison (--kit, --swap) is text or json"
            )
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
        with progress(visible(loaded.show.title)[:30]) as step:
            if self.draws is None:
                return check(loaded, progress=step)
            from bridgewire.uncertainty.odds import default_workers

            workers = default_workers()
            return check(loaded, progress=step, draws=self.draws, seed=self.seed, workers=workers)

    def _load(self, file: str) -> LoadedShow:
        return load_show(file, kit_dirs=self.kit_dirs, plugins=self.plugins)

    def _refuse(self, file: str, error: InputError) -> None:
        """Show what is wrong with a file at once, and go on with the next."""
        self.unusable.append((file, len(error.findings)))
        ink = ink_for("auto", sys.stderr)
        text = problems_text(error.findings, terminal_width(sys.stderr), ink)
        click.echo(text, nl=False, err=True, color=ink.colour)

    def written(self) -> str | bytes:
        """Everything to be written.

        Raises
        ------
        InputError
            If a plugin's report writer fails.
        """
        if self.writer is None:
            return self._text()
        return self.writer.write(ReportContext(tuple(self.reports), CAUTIONS, __version__))

    def _text(self) -> str:
        if self.form == "json":
            compared = [comparison_data(*c) for c in self.comparisons]
            return reports_json(self.reports, __version__, compared)
        o = self.options
        shows = [report_text(r, o) for r in self.reports]
        shows += [
            comparison_text(title, columns, width=o.width, verbose=o.verbose, ink=o.ink)
            for _, title, columns in self.comparisons
        ]
        parts = [f"\n{'=' * o.width}\n\n".join(shows)] if shows else []
        if self.shows > 1:
            parts.append(self._summary())
        if shows:
            parts.append("\n".join(caution_lines(o.width, o.ink)) + "\n")
        return "\n".join(parts)

    def _summary(self) -> str:
        lines = [self.options.ink("Shows", "bold")]
        lines += [f"  {one_line(r, self.options.ink)}" for r in self.reports]
        for file, _, columns in self.comparisons:
            answers = ", ".join(f"{visible(c.name)}: {c.answer}" for c in columns)
            lines.append(f"  {visible(file)}: {answers}")
        lines += [
            f"  {visible(file)}: not checked, {count(n, 'problem')}" for file, n in self.unusable
        ]
        return "\n".join(lines) + "\n"

    def exit_code(self, fail_on: str) -> int:
        """The exit code, for findings at or above a severity by its word."""
        if self.unusable:
            return 2
        limit = Severity.from_word(fail_on)
        if any(_fails(r, limit) for r in self.reports):
            return 1
        for _, _, columns in self.comparisons:
            if all(c.report is None or _fails(c.report, limit) for c in columns[1:]):
                return 1
        return 0


def _fails(report: Checked, limit: Severity) -> bool:
    return any(f.severity >= limit for f in report.findings)
