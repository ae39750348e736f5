"""Finds kit profiles by id in folders, and merges them with the profiles that they extend.

A profile is a TOML, YAML or JSON file with an ``id`` at its top; the file's name does not matter.
Shows and other files in the same folder are passed over. One id in two files is an error: nobody
should have to guess which of two profiles a check has used.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from attrs import evolve, field, frozen

from bridgewire.diagnostics import DocPath, Finding, Location
from bridgewire.documents.bands import KEYS as BAND_KEYS
from bridgewire.documents.loader import finish_kit, open_kit
from bridgewire.documents.opened import Opened
from bridgewire.documents.problems import DANGLING, as_findings, closest, one_of
from bridgewire.documents.source import Document, SourceMap
from bridgewire.errors import InputError
from bridgewire.kits.extends import Merger
from bridgewire.kits.folders import kit_folders, shipped_profiles_dir, user_kits_dir
from bridgewire.kits.heads import profile_files
from bridgewire.kits.origins import MergedSourceMap
from bridgewire.kits.profile_source import TABLES, Source, extends_anything
from bridgewire.model.kit import Kit

if TYPE_CHECKING:
    from bridgewire.kits.samples import JointSamples

__all__ = [
    "DUPLICATE_KIT",
    "KitOrigin",
    "LoadedKit",
    "find_kits",
    "kit_folders",
    "list_kits",
    "load_kit_file",
    "shipped_profiles_dir",
    "user_kits_dir",
]

DUPLICATE_KIT = "DOC018"
"""Two kit profiles have one id."""


@frozen
class KitOrigin:
    """Which profile a value was written in, and where."""

    kit_id: str
    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.kit_id} ({self.file}:{self.line})"


@frozen(slots=False)
class LoadedKit:
    """A kit profile, merged with what it extends, and the document it was read from.

    Attributes
    ----------
    kit : Kit
    document : Document
        Of the profile itself. Its ``spans`` find every value, inherited ones too, in the file
        where it is written; ``included`` lists the other profiles' files.
    """

    kit: Kit
    document: Document = field(repr=False)
    samples: JointSamples | None = field(default=None, repr=False)
    """What of its values is known together."""

    @property
    def extended(self) -> bool:
        """Whether the profile, or an entry of it, extends another."""
        return isinstance(self.document.spans, MergedSourceMap)

    def origin_of(self, path: DocPath) -> KitOrigin:
        """Tell where the value at a path was written.

        Parameters
        ----------
        path : DocPath
            In the merged profile, e.g. ``("cable", 0, "ohm_per_m")``. A path that is not there
            gives the nearest table above it.
        """
        spans = self.document.spans
        kit_id = self.kit.id
        if isinstance(spans, MergedSourceMap):
            place = spans.place(path)
            kit_id = kit_id if place is None else place.origin.kit_id
        where = spans.locate(path)
        return KitOrigin(kit_id, where.file, where.line, where.column)

    @cached_property
    def origins(self) -> Mapping[DocPath, KitOrigin]:
        """Where every value of every entry was written, by its path in the merged profile."""
        return {path: self.origin_of(path) for path in _value_paths(self.document.data)}


def _value_paths(data: Mapping[str, object]) -> Iterator[DocPath]:
    """Yield the paths of all values: bands, and arrays within entries, are one value each."""
    stack: list[tuple[DocPath, object]] = [((k,), v) for k, v in reversed(list(data.items()))]
    while stack:
        path, value = stack.pop()
        if isinstance(value, dict) and not value.keys() <= set(BAND_KEYS):
            stack.extend(((*path, k), v) for k, v in reversed(list(value.items())))
        elif isinstance(value, list) and len(path) == 1 and path[0] in TABLES:
            stack.extend(((*path, i), v) for i, v in reversed(list(enumerate(value))))
        else:
            yield path


def list_kits(folders: Sequence[Path]) -> Mapping[str, LoadedKit]:
    """Load every kit profile in some folders.

    Parameters
    ----------
    folders : sequence of Path
        Folders that do not exist are passed over.

    Returns
    -------
    mapping of str to LoadedKit
        By id, in order of folder and file name.

    Raises
    ------
    InputError
        With every problem of every profile, and every id that two files share.

    Examples
    --------
    >>> dict(list_kits([]))
    {}
    """
    library = _Library(folders)
    loaded = {name: library.load(name) for name in library.ids()}
    library.raise_findings()
    return {name: kit for name, kit in loaded.items() if kit is not None}


def find_kits(
    ids: Sequence[str], folders: Sequence[Path], spans: SourceMap | None = None
) -> Mapping[str, LoadedKit]:
    """Load the kit profiles that a show names, and those that they extend; others are not parsed.

    Parameters
    ----------
    ids : sequence of str
        Ids as in the show's ``kits``.
    folders : sequence of Path
        Where to look; see `kit_folders`.
    spans : SourceMap or None
        Places in the show, for profiles that are not found.

    Returns
    -------
    mapping of str to LoadedKit
        By id, in the order of `ids`.

    Raises
    ------
    InputError
        With every profile or entry that is not found (DOC011), every problem of those found,
        every id that two files share (DOC018) and every circle of extends (DOC024).

    Examples
    --------
    >>> dict(find_kits([], []))
    {}
    """
    library = _Library(folders)
    loaded: dict[str, LoadedKit] = {}
    missing: list[Finding] = []
    for index, name in enumerate(ids):
        if not library.has(name):
            missing.append(_not_found(name, ("kits", index), library.ids(), folders, spans))
        elif name not in loaded:
            kit = library.load(name)
            if kit is not None:
                loaded[name] = kit
    library.raise_findings(missing)
    return loaded


def load_kit_file(path: Path, folders: Sequence[Path] | None = None) -> LoadedKit:
    """Load one profile by its file, and those that it extends.

    Parameters
    ----------
    path : Path
    folders : sequence of Path, optional
        Where to look for what it extends; `kit_folders` of the file where not given.

    Raises
    ------
    InputError
        As `find_kits`.

    Examples
    --------
    >>> load_kit_file(shipped_profiles_dir() / "generic.toml").kit.id
    'generic'
    """
    library = _Library(kit_folders(path) if folders is None else folders)
    opened = open_kit(path)
    loaded = library.finish(opened)
    library.raise_findings()
    if loaded is None:
        raise InputError(opened.findings())
    return loaded


def _not_found(
    name: str,
    path: DocPath,
    known: Sequence[str],
    folders: Sequence[Path],
    spans: SourceMap | None,
) -> Finding:
    from bridgewire.kits.packages import kit_packages

    choices = sorted(set(known))
    broken = [f" {p.words()} is no use: {p.problem}." for p in kit_packages() if p.problem]
    return Finding(
        DANGLING,
        f"there is no kit profile {name!r}",
        path=path,
        expected=one_of(choices) if choices else "a kit profile in one of the folders searched",
        got=f"{name!r}",
        suggestion=closest(_stem(name), choices),
        remedy="Looked in: " + ", ".join(str(f) for f in folders) + "." + "".join(broken),
        location=spans.locate(path) if spans is not None else None,
    )


def _stem(name: str) -> str:
    """The name without the folder and the ending of a file, where somebody gave a file.

    >>> _stem("kits/hut.toml"), _stem("hut-1.0")
    ('hut', 'hut-1.0')
    """
    file = Path(name).name
    return file.rpartition(".")[0] if file.endswith((".toml", ".yaml", ".yml", ".json")) else name


class _Library:
    """The profiles in some folders: each is parsed at most once, and only when it is needed."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self._files: dict[str, list[Path]] = {}
        """By id; files whose id cannot be seen by their stem, in a dict of their own."""
        self._unseen: dict[str, list[Path]] = {}
        for path, head in profile_files(folders):
            (self._files if head else self._unseen).setdefault(head or path.stem, []).append(path)
        self._sources: dict[str, Source | None] = {}
        self._findings: dict[tuple[object, ...], Finding] = {}

    def ids(self) -> list[str]:
        """Ids that could be seen, in order of folder and file name."""
        return list(self._files)

    def has(self, name: str) -> bool:
        """Tell whether there is a file for an id. One whose id cannot be seen counts by its
        name, so that its problems are shown."""
        return name in self._files or name in self._unseen

    def report(self, findings: Sequence[Finding]) -> None:
        """Keep findings; one that an extending profile repeats is kept once."""
        for f in findings:
            self._findings.setdefault((f.code, f.message, f.location or f), f)

    def raise_findings(self, more: Sequence[Finding] = ()) -> None:
        """Raise what has been found, if anything."""
        found = (*self._findings.values(), *more)
        if found:
            raise InputError(found)

    def load(self, name: str) -> LoadedKit | None:
        """Load a profile by id; None where it cannot be used, which is then reported."""
        source = self._source(name)
        return None if source is None else self._merge(source)

    def finish(self, opened: Opened) -> LoadedKit | None:
        """Load an opened profile."""
        source = self._checked(opened.name.removeprefix("kit:"), opened)
        if source is None:
            return None
        self._sources[source.kit_id] = source
        return self._merge(source)

    def _source(self, name: str) -> Source | None:
        if name not in self._sources:
            self._sources[name] = self._read(name)
        return self._sources[name]

    def _read(self, name: str) -> Source | None:
        files = [*self._files.get(name, ()), *self._unseen.get(name, ())]
        opened = [open_kit(path) for path in files]
        # A file that could not be read in part may hold another id than its head shows.
        same = [o for o in opened if o.data is None or o.data.get("id") == name or o.problems]
        for other in same[1:]:
            if not (same[0].problems or other.problems):
                self.report(list(_shared_id(name, same[0].spans, other.spans)))
        if not same:
            self.report([_other_id(name, o) for o in opened])
        sources = [self._checked(name, o) for o in same]
        return sources[0] if len(sources) == 1 else None

    def _checked(self, name: str, opened: Opened) -> Source | None:
        """Return a profile that could be parsed whole; report the problems of any other."""
        data = opened.current_data()
        if data is not None and not opened.problems:
            return Source.of(name, opened, data)
        opened.structure(Kit)  # for the other problems
        self.report(opened.findings())
        return None

    def _merge(self, source: Source) -> LoadedKit | None:
        opened = source.opened
        if extends_anything(source.data):
            merger = Merger(source, self._source, self.ids)
            merged = merger.merged()
            self.report(merger.findings)
            if merged is None:
                return None
            taken = tuple((s.opened.file, s.opened.sha256) for s in merger.used)
            data, spans = merged
            opened = evolve(opened, data=data, spans=spans, problems=[], included=taken)
        try:
            kit, document = finish_kit(opened)
        except InputError as error:
            self.report(error.findings)
            return None
        if kit.samples is None:
            return LoadedKit(kit, document)
        from bridgewire.kits.samples import read_samples

        samples, problems = read_samples(kit, Path(opened.file))
        if samples is None:
            self.report(as_findings(problems, opened.spans, opened.name))
            return None
        document = evolve(document, included=(*document.included, (samples.file, samples.sha256)))
        return LoadedKit(kit, document, samples)


def _other_id(name: str, opened: Opened) -> Finding:
    return Finding(
        DANGLING,
        f"there is no kit profile {name!r}; a file that looks like it has another id",
        path=("id",),
        document=opened.name,
        expected=f"id = {name!r}",
        got=repr((opened.data or {}).get("id")),
        location=opened.spans.locate(("id",)),
    )


def _shared_id(name: str, first: SourceMap, second: SourceMap) -> Iterator[Finding]:
    """Report an id of two files, at both places."""
    places = [spans.locate(("id",)) for spans in (first, second)]
    for here, other in ((places[0], places[1]), (places[1], places[0])):
        yield _shared_at(name, here, other)


def _shared_at(name: str, here: Location, other: Location) -> Finding:
    return Finding(
        DUPLICATE_KIT,
        f"the kit profile id {name!r} is used by two files",
        path=("id",),
        document=f"kit:{name}",
        expected="one file for each id",
        got=f"{name!r} also at {other}",
        remedy="Rename one of the two, and say which one the show uses.",
        location=here,
    )
