"""The Python API: load a show, check it, read the report."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Callable, Iterable
from os import PathLike
from typing import TYPE_CHECKING

from attrs import evolve, field, frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.loading import LoadedShow, load_show, resolve_show
from bridgewire.plugins.plugin_set import PluginSet
from bridgewire.report.contents import SEVERITY_NOUNS, severity_counts
from bridgewire.report.plain_text import count
from bridgewire.rules.context import Context
from bridgewire.rules.engine import Ignored, run_rules
from bridgewire.rules.registry import all_rules
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict
from bridgewire.uncertainty.proof import proven
from bridgewire.version import __version__

if TYPE_CHECKING:
    from bridgewire.report.baseline import KnownFinding
    from bridgewire.report.tables.columns import TableName
    from bridgewire.report.tables.table import Table
    from bridgewire.uncertainty.study import OddsStudy

__all__ = ["KitUsed", "LoadedShow", "PluginUsed", "Report", "check", "load_show", "resolve_show"]


@frozen
class KitUsed:
    """A kit profile that a report rests on.

    Attributes
    ----------
    id : str
    version : str
        As the profile states it; may be empty.
    file : str
        Where it was read from.
    sha256 : str
        Of the file, in hexadecimal digits.
    """

    id: str
    version: str
    file: str
    sha256: str


@frozen
class PluginUsed:
    """A plugin that was loaded for a report.

    Attributes
    ----------
    name : str
        Of its entry point.
    distribution, version : str
        The installed package that it belongs to.
    api_version : int
        The plugin API that it was written for.
    """

    name: str
    distribution: str
    version: str
    api_version: int


@frozen
class Report:
    """What a check found; `check` makes one.

    Parameters
    ----------
    file : str
        Name of the show file, as given.
    title : str
        Of the show.
    findings : tuple of Finding
        Those that count, worst first.
    ignored : tuple of Ignored
        Findings that do not count, with the reason: the show asked not to hear of them, or a
        baseline knows them (see `against`).
    cues : tuple of CueOutcome
        What comes of every cue and its igniters, in the show's order.
    kits : tuple of KitUsed
        The kit profiles that the show uses.
    sha256 : str
        Of the show file, in hexadecimal digits.
    version : str
        Of bridgewire.
    included : tuple of (str, str)
        Name and SHA-256 of each file that the show takes in (a cue list).
    assessment : Assessment, optional
        Everything that was computed; `check` always gives it.
    plugins : tuple of PluginUsed
        Every plugin that was loaded, whether this show needed it or not.
    odds : OddsStudy, optional
        Probabilities, where `check` was given `draws`.
    stale : tuple of KnownFinding
        Entries of the baseline that match no finding any more.

    Examples
    --------
    >>> report = check("examples/midwinter-small.toml")
    >>> report
    <Report 'Midwinter on the Mere': 3 cues; igniters 4 sure, 0 marginal, 0 no, 0 unknown; \
0 errors, 0 warnings, 3 notes>
    >>> [(cue.id, cue.verdict.value) for cue in report.cues]
    [('twin comets', 'sure'), ('lances', 'sure'), ('crackle', 'sure')]
    >>> [finding.code for finding in report.findings]
    ['WIR007', 'WIR007', 'WIR007']
    >>> report.worst.word, len(report.revision)
    ('info', 12)
    """

    file: str
    title: str
    findings: tuple[Finding, ...]
    ignored: tuple[Ignored, ...]
    cues: tuple[CueOutcome, ...]
    kits: tuple[KitUsed, ...]
    sha256: str
    version: str = __version__
    included: tuple[tuple[str, str], ...] = ()
    assessment: Assessment | None = field(default=None, repr=False, eq=False)
    plugins: tuple[PluginUsed, ...] = ()
    odds: OddsStudy | None = field(default=None, repr=False, eq=False)
    stale: tuple[KnownFinding, ...] = ()

    def __repr__(self) -> str:
        verdicts = ", ".join(f"{n} {v.value}" for v, n in self.verdict_counts().items())
        severities = severity_counts(self)
        found = ", ".join(count(n, SEVERITY_NOUNS[s]) for s, n in severities.items())
        cues = count(len(self.cues), "cue")
        return f"<Report {self.title!r}: {cues}; igniters {verdicts}; {found}>"

    def _repr_html_(self) -> str:
        from bridgewire.report.notebook.report_html import report_html

        return report_html(self)

    @property
    def known(self) -> tuple[Ignored, ...]:
        """Findings that a baseline knows, set apart from `findings` by `against`."""
        return tuple(i for i in self.ignored if i.baseline)

    def against(self, entries: Iterable[KnownFinding]) -> Report:
        """The same report with the findings that a baseline knows set apart.

        Parameters
        ----------
        entries : iterable of KnownFinding
            Those of this show, see `bridgewire.report.baseline_file.read_baseline`.

        Returns
        -------
        Report
            Known findings are in `known` and `ignored`; all others, among them known ones that
            got clearly worse, are in `findings`.

        Examples
        --------
        >>> from bridgewire.report.baseline import entries_of
        >>> report = check("examples/midwinter-small.toml")
        >>> show = report.assessment.layout.show
        >>> entries = entries_of(report.findings, show, "midwinter-small.toml", Severity.INFO)
        >>> later = report.against(entries)
        >>> len(later.findings), len(later.known)
        (0, 3)
        """
        from bridgewire.report.baseline import KNOWN_REASON, split, still_there

        show = None if self.assessment is None else self.assessment.layout.show
        listed = tuple(entries)
        new, known = split(self.findings, show, listed)
        _, stale = still_there(listed, self.findings, show, odds=self.odds is not None)
        apart = (Ignored(k.finding, KNOWN_REASON, baseline=True) for k in known)
        return evolve(self, findings=new, ignored=(*self.ignored, *apart), stale=stale)

    @property
    def revision(self) -> str:
        """Twelve hexadecimal digits that change with the show, its cue list or a kit profile."""
        parts = [self.sha256, *(h for _, h in self.included)]
        parts += sorted(f"{k.id} {k.sha256}" for k in self.kits)
        return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:12]

    def verdict_counts(self) -> dict[Verdict, int]:
        """Count the igniter entries by verdict.

        Returns
        -------
        dict of Verdict to int
            Every verdict, also those that no igniter has. An entry that several cues mean to light
            counts once, by its best verdict.

        Examples
        --------
        >>> check("examples/midwinter-small.toml").verdict_counts()[Verdict.SURE]
        4
        """
        counts = dict.fromkeys(Verdict, 0)
        if self.assessment is not None:
            for verdict in self.assessment.verdicts().values():
                counts[verdict] += 1
        return counts

    def table(self, name: TableName) -> Table:
        """Give one table of the report as a list of flat records.

        Parameters
        ----------
        name : str
            ``cues``, ``igniters``, ``findings``, ``loads``, ``strays`` or ``odds``; what each
            holds is in `bridgewire.tables`.

        Returns
        -------
        Table
            A list of dicts. Keys carry their unit and always come in the same order; what is not
            known, does not apply or is infinite is None, and where a value may be infinite a
            column such as ``never`` says so. See `bridgewire.tables` for CSV and Parquet.

        Raises
        ------
        ValueError
            If there is no such table.

        Examples
        --------
        >>> report = check("examples/midwinter-small.toml")
        >>> report.table("cues")
        <Table 'cues': 3 rows, 32 columns>
        >>> [(r["igniter"], r["verdict"]) for r in report.table("igniters")][:2]
        [('west comet', 'sure'), ('east comet', 'sure')]
        """
        from bridgewire.report.tables.table import table_of

        return table_of(self, name)

    def tables(self) -> dict[TableName, Table]:
        """Give every table of the report, see `table`.

        Returns
        -------
        dict of str to Table
            By name, in the order of `bridgewire.tables.TABLE_NAMES`.

        Examples
        --------
        >>> list(check("examples/midwinter-small.toml").tables())
        ['cues', 'igniters', 'findings', 'loads', 'strays', 'odds']
        """
        from bridgewire.report.tables.columns import TABLE_NAMES
        from bridgewire.report.tables.table import table_of

        return {name: table_of(self, name) for name in TABLE_NAMES}

    @property
    def worst(self) -> Severity | None:
        """The worst severity of the findings that count; None where there are none."""
        return max((f.severity for f in self.findings), default=None)


def check(
    show: LoadedShow | str | PathLike[str],
    *,
    progress: Callable[[int, int], None] | None = None,
    plugins: PluginSet | None = None,
    draws: int | None = None,
    seed: int = 1,
    workers: int = 1,
    today: datetime.date | None = None,
) -> Report:
    """Check a show: compute every cue and run every rule.

    Parameters
    ----------
    show : LoadedShow or path
        A show that `load_show` has read, or the name of its file.
    progress : callable, optional
        Called with firings done and firings in all; with draws done and in all for odds.
    plugins : PluginSet, optional
        As in `load_show`; of no effect on a `LoadedShow`, which has its own.
    draws : int, optional
        Also compute odds from so many draws (see `bridgewire.uncertainty.study.study_odds`), for
        the rules that judge them. Without it no odds are computed and those rules are silent.
    seed : int
        Of the draws: the same seed gives the same odds.
    workers : int
        Processes for the draws; the result is the same for any number.
    today : datetime.date, optional
        The day on which the show's ignores hold or have expired; the computer's where absent.
        State it where a check must give the same on every day.

    Returns
    -------
    Report
        Verdicts and margins of every igniter, and the findings. A verdict is computed, never proof
        that an igniter lights: the circuits are to be measured on site.

    Raises
    ------
    InputError
        If `show` is a path and the file cannot be used.
    ValueError
        If `draws` or `workers` is below 1.

    See Also
    --------
    load_show : read a show once, with further folders of kit profiles

    Examples
    --------
    >>> report = check("examples/boathouse-troubles.toml")
    >>> finding = report.findings[0]
    >>> finding.code, finding.severity.word, finding.subjects
    ('FIR001', 'error', ('fountains', 'fountain 2'))
    """
    loaded = show if isinstance(show, LoadedShow) else load_show(show, plugins=plugins)
    assessment = proven(assess(loaded.layout, progress=progress))
    brought = loaded.plugins
    codes = frozenset(r.rule.code for r in brought.rules)
    odds = None
    if draws is not None:
        from bridgewire.uncertainty.study import study_odds

        odds = study_odds(assessment, draws=draws, seed=seed, workers=workers, progress=progress)
    context = Context(assessment, codes, odds, today or datetime.date.today())
    findings, ignored = run_rules(context, (*all_rules(), *brought.rules), brought.findings)
    used = tuple(
        KitUsed(k, v.kit.version, v.document.file, v.document.sha256)
        for k, v in loaded.kits.items()
    )
    return Report(
        loaded.file,
        loaded.show.title,
        loaded.located(findings),
        tuple(
            evolve(i, finding=f)
            for i, f in zip(ignored, loaded.located(i.finding for i in ignored), strict=True)
        ),
        assessment.cues,
        used,
        loaded.document.sha256,
        included=loaded.document.included,
        assessment=assessment,
        plugins=tuple(
            PluginUsed(p.name, p.distribution, p.version, p.api_version)
            for p in brought.loaded
            if p.api_version is not None
        ),
        odds=odds,
    )
