"""Reading a show: the file, the kits that it uses, and its wiring resolved."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Mapping, Sequence
from os import PathLike
from pathlib import Path

from attrs import define, evolve, field

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.resolve import resolve
from bridgewire.circuit.salvaged import problems_of_the_rest, without_kit_references
from bridgewire.diagnostics import Finding
from bridgewire.documents.loader import load_show as load_show_document
from bridgewire.documents.problems import placed
from bridgewire.documents.salvage import Salvage, ShowInputError
from bridgewire.documents.source import Document
from bridgewire.errors import InputError
from bridgewire.kits.discovery import LoadedKit, find_kits, kit_folders
from bridgewire.model.show import Show
from bridgewire.plugins.faults import DOCUMENT as PLUGINS_DOCUMENT
from bridgewire.plugins.manager import load_plugins
from bridgewire.plugins.plugin_set import PluginSet
from bridgewire.report.plain_text import count


@define(eq=False)
class LoadedShow:
    """A show that has been read, with its kits and wiring; `load_show` makes one.

    Parameters
    ----------
    file : str
        Name of the file, as given.
    show : Show
        The show document, with its own units in the keys.
    document : Document
        The document as plain data, with the place of every value in the file.
    kits : mapping of str to LoadedKit
        The kit profiles by id, in the show's order.
    layout : Layout
        The wiring resolved: what hangs on every way.
    plugins : PluginSet
        What plugins bring.

    Examples
    --------
    >>> load_show("examples/midwinter-small.toml")
    <LoadedShow 'Midwinter on the Mere' from 'examples/midwinter-small.toml': 1 box, \
4 igniter entries, 3 cues, kits harrowmere, generic>
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
        """Fill in where findings stand in the files of this show.

        Parameters
        ----------
        findings : iterable of Finding
            With paths in the show or in one of its kits, as rules give them.

        Returns
        -------
        tuple of Finding
            The same in the same order, each with file, line and column where its document is known.

        Examples
        --------
        >>> from bridgewire import Finding
        >>> show = load_show("examples/midwinter-small.toml")
        >>> found = show.located([Finding("XAB001", "is early", path=("cue", 0, "time_s"))])
        >>> found[0].location.file
        'examples/midwinter-small.toml'
        """
        return tuple(_locate(f, self.document, self.kits) for f in findings)


def load_show(
    path: str | PathLike[str],
    *,
    kit_dirs: Iterable[str | PathLike[str]] = (),
    kits: Iterable[str] | None = None,
    plugins: PluginSet | None = None,
) -> LoadedShow:
    """Read a show file and the kits that it uses, and resolve its wiring.

    Parameters
    ----------
    path : path
        A ``.toml``, ``.yaml``, ``.yml`` or ``.json`` file.
    kit_dirs : iterable of path
        Further folders in which kit profiles are looked for, after the show's own folder.
    kits : iterable of str, optional
        Kit ids that replace the show's own list (to ask whether other kit could fire it).
    plugins : PluginSet, optional
        What plugins bring; all installed plugins are loaded where absent, see
        `bridgewire.plugins.load_plugins`. ``PluginSet()`` is none.

    Returns
    -------
    LoadedShow
        Ready for `check`.

    Raises
    ------
    InputError
        With every problem found, each with its place; and with what is wrong with plugins, as
        that may be why something is not found.

    See Also
    --------
    bridgewire.check : compute the cues and run the rules

    Examples
    --------
    >>> show = load_show("examples/midwinter-small.toml")
    >>> show.show.title, [cue.id for cue in show.show.cue]
    ('Midwinter on the Mere', ['twin comets', 'lances', 'crackle'])
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
        show, document = load_show_document(file, plugins.importers)
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
        Name of the show file, as given.
    show : Show
        Its ``kits`` need not be those of the document.
    document : Document
        The show document, for the places of what is wrong.
    folders : sequence of Path
        Where to look for kit profiles, besides those that plugins bring.
    plugins : PluginSet
        What plugins bring; of these its kits and models are used.

    Returns
    -------
    LoadedShow
        With the kits that `show` names.

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


def _locate(finding: Finding, document: Document, kits: Mapping[str, LoadedKit]) -> Finding:
    if finding.location is not None or finding.document == PLUGINS_DOCUMENT:
        return finding
    if finding.document.startswith("kit:"):
        kit = kits.get(finding.document[4:])
        if kit is None:
            return finding
        return placed(finding, kit.document.spans)
    return placed(finding, document.spans)
