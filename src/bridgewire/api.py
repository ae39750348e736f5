"""The Python API: load a show, check it, read the report."""

from __future__ import annotations

import contextlib
import datetime
import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

from attrs import define, evolve, field, frozen

from bridgewire import __version__
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.resolve import resolve
from bridgewire.circuit.salvaged import problems_of_the_rest, without_kit_references
from bridgewire.diagnostics import Finding, Severity
from bridgewire.documents.loader import load_show as _load_show_document
from bridgewire.documents.salvage import Salvage, ShowInputError
from bridgewire.documents.source import Document
from bridgewire.errors import InputError
from bridgewire.kits.discovery import LoadedKit, find_kits, kit_folders
from bridgewire.model.show import Show
from bridgewire.plugins.faults import DOCUMENT as PLUGINS_DOCUMENT
from bridgewire.plugins.manager import load_plugins
from bridgewire.plugins.plugin_set import PluginSet
from bridgewire.report.contents import severity_counts
from bridgewire.report.plain_text import count
from bridgewire.rules.context import Context
from bridgewire.rules.engine import Ignored, run_rules
from bridgewire.rules.registry import all_rules
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict
from bridgewire.uncertainty.proof import proven

if TYPE_CHECKING:
    from bridgewire.report.baseline import KnownFinding
    from bridgewire.report.tables.columns import TableName
    from bridgewire.report.tables.table import Table
    from bridgewire.uncertainty.study import OddsStudy

__all__ = ["KitUsed", "LoadedShow", "PluginUsed", "Report", "check", "load_show"]

_NOUNS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.INFO: "note"}


@define(eq=False)
class LoadedShow:
    """A show that has been read, with its kits and wiring.

    Attributes
    ----------
    file : str
        The file as given.
    show : Show
    kits : mapping of kit id to LoadedKit
    layout : Layout
    plugins : PluginSet
    """

    file: str
    show: Show
    document: Document = field(repr=False)
    kits: Mapping[str, LoadedKit] = field(repr=False)
    layout: Layout = field(repr=False)
    plugins: PluginSet = field(factory=PluginSet, repr=False)

    def __repr__(self) -> str:
        show = self.show
        parts = (
            count(len(show.box), "box", "boxes"),
            count(len(show.igniter), "igniter entry", "igniter entries"),
            count(len(show.cue), "cue"),
            f"kits {', '.join(self.kits) or 'none'}",
        )
        return f"<LoadedShow {show.title!r} from {self.file!r}: {', '.join(parts)}>"

    def located(self, findings: Iterable[Finding]) -> tuple[Finding, ...]:
        """The findings with their places in files filled in."""
        return tuple(_locate(f, self.document, self.kits) for f in findings)


@frozen
class KitUsed:
    """A kit profile that a report rests on."""

    id: str
    version: str
    file: str
    sha256: str


@frozen
class PluginUsed:
    """A plugin that was loaded for a report."""

    name: str
    distribution: str
    version: str
    """Of the distribution."""
    api_version: int


@frozen
class Report:
    """What a check found.

    Attributes
    ----------
    file, title : str
    findings : tuple of Finding
        Worst first.
    ignored : tuple of Ignored
        Findings that do not count, with the reason: the show asked not to hear of them, or a
        baseline knows them (see `against`).
    cues : tuple of CueOutcome
        In the show's order.
    kits : tuple of KitUsed
    sha256 : str
        Of the show file.
    version : str
        Of bridgewire.
    plugins : tuple of PluginUsed
        Every plugin that was loaded, whether this show needed it or not.
    odds : OddsStudy or None
        Probabilities, where `check` was given `draws`.
    stale : tuple of KnownFinding
        Entries of the baseline that match no finding any more.
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
    """Name and SHA-256 of each file that the show takes in (a cue list)."""
    assessment: Assessment | None = field(default=None, repr=False, eq=False)
    plugins: tuple[PluginUsed, ...] = ()
    odds: OddsStudy | None = field(default=None, repr=False, eq=False)
    stale: tuple[KnownFinding, ...] = ()

    def __repr__(self) -> str:
        verdicts = ", ".join(f"{n} {v.value}" for v, n in self.verdict_counts().items())
        severities = severity_counts(self)
        found = ", ".join(count(n, _NOUNS[s]) for s, n in severities.items())
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
        """How many igniter entries have each verdict (the best over all cues that mean them)."""
        counts = dict.fromkeys(Verdict, 0)
        if self.assessment is not None:
            for verdict in self.assessment.verdicts().values():
                counts[verdict] += 1
        return counts

    def table(self, name: TableName) -> Table:
        """One table of the report as a list of flat records.

        Parameters
        ----------
        name : str
            ``cues``, ``igniters``, ``findings``, ``loads``, ``strays`` or ``odds``.

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
        """Every table of the report by name, see `table`."""
        from bridgewire.report.tables.columns import TABLE_NAMES
        from bridgewire.report.tables.table import table_of

        return {name: table_of(self, name) for name in TABLE_NAMES}

    @property
    def worst(self) -> Severity | None:
        """The worst severity found, or None."""
        return max((f.severity for f in self.findings), default=None)


def load_show(
    path: str | PathLike[str],
    *,
    kit_dirs: Iterable[str | PathLike[str]] = (),
    kits: Iterable[str] | None = None,
    plugins: PluginSet | None = None,
) -> LoadedShow:
    """Read a show file, the kits it uses, and resolve its wiring.

    Parameters
    ----------
    path : path
        A ``.toml``, ``.yaml``, ``.yml`` or ``.json`` file.
    kit_dirs : iterable of path
        Further folders in which to look for kit profiles.
    kits : iterable of str, optional
        Kit ids that replace the show's own list (to ask whether other kit could fire it).
    plugins : PluginSet, optional
        What plugins bring; all installed plugins are loaded where absent, see
        `bridgewire.plugins.load_plugins`. ``PluginSet()`` is none.

    Returns
    -------
    LoadedShow

    Raises
    ------
    InputError
        With every problem found, each with its place; and with what is wrong with plugins, as
        that may be why something is not found.
    """
    plugins = load_plugins() if plugins is None else plugins
    try:
        return _loaded(path, kit_dirs, kits, plugins)
    except InputError as error:
        if not plugins.findings:
            raise
        raise InputError((*error.findings, *plugins.findings)) from None


def _loaded(
    path: str | PathLike[str],
    kit_dirs: Iterable[str | PathLike[str]],
    kits: Iterable[str] | None,
    plugins: PluginSet,
) -> LoadedShow:
    file = Path(path)
    folders = kit_folders(file, [Path(d) for d in kit_dirs])
    try:
        show, document = _load_show_document(file, plugins.importers)
    except ShowInputError as error:
        further = _further_problems(error.salvage, folders, plugins)
        raise InputError((*error.findings, *further)) from None
    if kits is not None:
        show = evolve(show, kits=tuple(kits))
    return resolve_show(str(path), show, document, folders, plugins)


def resolve_show(
    file: str,
    show: Show,
    document: Document,
    folders: Sequence[Path],
    plugins: PluginSet,
) -> LoadedShow:
    """Find the kits of a show that has been read, and resolve its wiring.

    Parameters
    ----------
    file : str
    show : Show
        Its ``kits`` need not be those of the document.
    document : Document
    folders : sequence of Path
        Where to look for kit profiles, besides those that plugins bring.
    plugins : PluginSet

    Raises
    ------
    InputError
        With every problem found, each with its place.
    """
    found, wrong = _kits_found(show.kits, [*folders, *plugins.kits])
    catalogue = Catalogue(
        {name: loaded.kit for name, loaded in found.items()},
        {name: k.samples for name, k in found.items() if k.samples is not None},
    )
    layout, problems = resolve(show, catalogue, plugins.models)
    if wrong:
        problems = (*wrong, *without_kit_references(problems))
    if layout is None or problems:
        raise InputError(tuple(_locate(f, document, found) for f in problems))
    return LoadedShow(file, show, document, found, layout, plugins)


def _kits_found(
    ids: Sequence[str], folders: Sequence[Path]
) -> tuple[Mapping[str, LoadedKit], tuple[Finding, ...]]:
    """The kits that can be used, and what is wrong with the others."""
    try:
        return find_kits(ids, folders), ()
    except InputError as error:
        wrong = error.findings
    usable: dict[str, LoadedKit] = {}
    for name in ids:
        with contextlib.suppress(InputError):
            usable.update(find_kits([name], folders))
    return usable, wrong


def _further_problems(
    salvage: Salvage | None, folders: Sequence[Path], plugins: PluginSet
) -> tuple[Finding, ...]:
    """References and wiring of a show that could not be read whole."""
    if salvage is None:
        return ()
    found, wrong = _kits_found(salvage.show.kits, [*folders, *plugins.kits])
    wrong = tuple(
        evolve(f, path=("kits", salvage.kept["kits"][f.path[1]]))
        if len(f.path) == 2 and f.path[0] == "kits" and isinstance(f.path[1], int)
        else f
        for f in wrong
    )
    catalogue = Catalogue({name: loaded.kit for name, loaded in found.items()})
    complete = not wrong and not salvage.kits_left_out
    rest = problems_of_the_rest(salvage, catalogue, plugins.models, kits_complete=complete)
    return tuple(_locate(f, salvage.document, found) for f in (*wrong, *rest))


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
    progress : callable, optional
        Called with firings done and firings in all.
    plugins : PluginSet, optional
        As in `load_show`; of no effect on a `LoadedShow`, which has its own.
    draws : int, optional
        Also compute odds from so many draws (see `bridgewire.uncertainty.study.study_odds`), for
        the rules that judge them. Without it no odds are computed and those rules are silent.
    seed : int
        Of the draws.
    workers : int
        Processes for the draws; the result is the same for any number.
    today : datetime.date, optional
        The day on which the show's ignores hold or have expired; the computer's where absent.
        State it where a check must give the same on every day.

    Returns
    -------
    Report

    Raises
    ------
    InputError
        If `show` is a path and the file cannot be used.
    ValueError
        If `draws` or `workers` is below 1.
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


def _locate(finding: Finding, document: Document, kits: Mapping[str, LoadedKit]) -> Finding:
    if finding.location is not None or finding.document == PLUGINS_DOCUMENT:
        return finding
    if finding.document.startswith("kit:"):
        kit = kits.get(finding.document[4:])
        if kit is None:
            return finding
        return evolve(finding, location=kit.document.spans.locate(finding.path))
    return evolve(finding, location=document.spans.locate(finding.path))
