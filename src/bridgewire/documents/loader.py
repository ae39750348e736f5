"""Loads documents: kit profiles and shows, from TOML, YAML or JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import attrs

from bridgewire.diagnostics import Finding
from bridgewire.documents.imported import CueImporter
from bridgewire.documents.limits import first_excess
from bridgewire.documents.parsed import Parsed, no_places
from bridgewire.documents.problems import (
    MISSING_KEY,
    TOO_LARGE,
    UNKNOWN_KEY,
    UNREADABLE,
    Problem,
    as_findings,
    closest,
    one_of,
)
from bridgewire.documents.source import Document, SourceMap
from bridgewire.documents.text import RefusedError, SourceText, read_text
from bridgewire.errors import InputError
from bridgewire.model.bench import BenchRecord, Results
from bridgewire.model.kit import Kit
from bridgewire.model.show import CueList, Show


def _toml(text: str) -> Parsed:
    from bridgewire.documents.toml_format import parse_toml

    return parse_toml(text)


def _yaml(text: str) -> Parsed:
    from bridgewire.documents.yaml_format import parse_yaml

    return parse_yaml(text)


def _json(text: str) -> Parsed:
    from bridgewire.documents.json_format import parse_json

    return parse_json(text)


PARSERS: Mapping[str, Callable[[str], Parsed]] = {
    ".toml": _toml,
    ".yaml": _yaml,
    ".yml": _yaml,
    ".json": _json,
}
"""By file name ending, in lower case."""


def load_document(path: Path) -> Document:
    """Read a document into plain data, without asking what it describes.

    Parameters
    ----------
    path : Path
        A file whose name ends in .toml, .yaml, .yml or .json; UTF-8, at most 20 MB.

    Returns
    -------
    Document
        Plain data and the places of its values.

    Raises
    ------
    InputError
        With every problem found: DOC001 (unreadable), DOC002 (syntax), DOC003 (duplicate keys),
        DOC006 (no table at the top) or DOC009 (too deep, too many values).

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "a.toml")
    ...     _ = file.write_text("format = 1")
    ...     load_document(file).data
    {'format': 1}
    """
    opened = Opened.from_file(path, "show")
    if opened.problems:
        raise InputError(opened.findings())
    return opened.document()


def load_kit(path: Path) -> tuple[Kit, Document]:
    """Read a kit profile that stands by itself.

    What a profile extends is not looked up here, so entries that lean on another may be called
    incomplete; `bridgewire.kits.discovery` reads profiles together with those they extend.

    Parameters
    ----------
    path : Path
        A TOML, YAML or JSON file.

    Returns
    -------
    tuple of Kit and Document

    Raises
    ------
    InputError
        With every problem found in the file, each with its place; never only the first.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "club.toml")
    ...     _ = file.write_text('format = 1\\nid = "club"')
    ...     load_kit(file)[0].id
    'club'
    """
    return finish_kit(open_kit(path))


def open_kit(path: Path) -> Opened:
    """Read and parse a kit profile, without asking whether it is complete.

    Problems are kept in what is returned, not raised; see `finish_kit`.
    """
    opened = Opened.from_file(path, f"kit:{path.stem}")
    named = opened.data.get("id") if opened.data else None
    if isinstance(named, str) and named:
        opened.name = f"kit:{named}"
    return opened


def finish_kit(opened: Opened) -> tuple[Kit, Document]:
    """Make the kit of an opened profile.

    Raises
    ------
    InputError
        With every problem found, each with its place.
    """
    kit = opened.structure(Kit)
    if kit is None or opened.problems:
        raise InputError(opened.findings())
    return kit, opened.document()


def load_show(
    path: Path, importers: Mapping[str, CueImporter] | None = None
) -> tuple[Show, Document]:
    """Read a show, and its cue list where it names one.

    The cues of the list follow those of the document in ``show.cue``; their places are in the
    list's own file.

    Parameters
    ----------
    path : Path
        A TOML, YAML or JSON file.
    importers : mapping of str to CueImporter, optional
        By name: what can read a cue list that is no CSV file.

    Returns
    -------
    tuple of Show and Document

    Raises
    ------
    ShowInputError
        With every problem found in both files, each with its place; never only the first; and
        with what of the show can still be checked.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "night.toml")
    ...     _ = file.write_text('format = 1\\ntitle = "Regatta Night"\\nkits = []')
    ...     load_show(file)[0].title
    'Regatta Night'
    """
    opened = Opened.from_file(path, "show")
    show = opened.structure(Show)
    listed = (opened.data or {}).get("cue_list")
    if isinstance(listed, dict):
        cues = opened.include_cue_list(listed, path, importers)
        if show is not None:
            show = attrs.evolve(show, cue=(*show.cue, *cues))
    if show is None or opened.problems or opened.elsewhere:
        from bridgewire.documents.salvage import ShowInputError, salvage_show

        salvage = None
        if not opened.damaged:
            salvage = salvage_show(opened.data, opened.problems, opened.document())
        raise ShowInputError(opened.findings(), salvage)
    return show, opened.document()


def load_bench(path: Path) -> tuple[BenchRecord, Document]:
    """Read a bench record, and the filled-in form where it names one.

    Parameters
    ----------
    path : Path
        A TOML, YAML or JSON file.

    Returns
    -------
    tuple of BenchRecord and Document

    Raises
    ------
    InputError
        With every problem found in both files, each with its place; and with what contradicts
        itself, where the rest could be read.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "evening.toml")
    ...     _ = file.write_text('format = 1\\ntitle = "Evening"\\nkits = []\\ntrial = []')
    ...     load_bench(file)[0].title
    'Evening'
    """
    from bridgewire.documents.bench_checks import record_problems
    from bridgewire.documents.structure import structure

    opened = Opened.from_file(path, "bench")
    listed = (opened.data or {}).get("results")
    if isinstance(listed, dict):
        results = structure(listed, Results, [], ("results",))
        if results is not None:
            opened.include_results(results, path)
    record = opened.structure(BenchRecord)
    if record is not None:
        opened.problems.extend(record_problems(record))
    if record is None or opened.problems or opened.elsewhere:
        raise InputError(opened.findings())
    return record, opened.document()


@attrs.define
class Opened:
    """A file under way from text to model.

    Attributes
    ----------
    file, name : str
        As given; the name is ``show`` or ``kit:<id>``.
    data : dict or None
        Plain data; None where nothing could be read.
    problems : list of Problem
    """

    file: str
    name: str
    data: dict[str, Any] | None
    spans: SourceMap
    sha256: str = ""
    damaged: frozenset[Any] = frozenset()
    problems: list[Problem] = attrs.field(factory=list)
    elsewhere: list[Finding] = attrs.field(factory=list)
    included: tuple[tuple[str, str], ...] = ()

    @classmethod
    def from_file(cls, path: Path, name: str) -> Opened:
        """Read and parse; problems are kept, not raised."""
        file = str(path)
        parser = PARSERS.get(path.suffix.lower())
        if parser is None and path.is_file():
            return cls._refused(file, name, RefusedError(_wrong_ending(path)))
        try:
            source = read_text(path)
        except RefusedError as error:
            return cls._refused(file, name, error)
        if parser is None:  # became a file in between
            return cls._refused(file, name, RefusedError(_wrong_ending(path)))
        return cls._parsed(file, name, source, parser(source.text))

    @classmethod
    def _refused(cls, file: str, name: str, error: RefusedError) -> Opened:
        spans = SourceMap(file, error.text, no_places)
        return cls(file, name, None, spans, problems=[error.problem])

    @classmethod
    def _parsed(cls, file: str, name: str, source: SourceText, parsed: Parsed) -> Opened:
        spans = SourceMap(file, source.text, parsed.build)
        opened = cls(file, name, parsed.data, spans, source.sha256, parsed.damaged)
        opened.problems.extend(parsed.problems)
        if parsed.data is not None:
            excess = first_excess(parsed.data)
            if excess is not None:
                where, message = excess
                opened.problems.append(Problem(TOO_LARGE, message, path=where))
                opened.data = None
        return opened

    def current_data(self) -> dict[str, Any] | None:
        """Bring the data to the present format and return them; None where that fails."""
        from bridgewire.documents.formats import to_current

        if self.data is not None:
            self.data = to_current(self.data, self.problems)
        return self.data

    def structure(self, cls: type[Any]) -> Any:
        """Make the model object; None where anything is wrong."""
        from bridgewire.documents.structure import structure

        data = self.current_data()
        if data is None:
            return None
        other = _looks_like_other(data, cls)
        if other is not None:
            self.problems.append(other)
            return None
        found: list[Problem] = []
        result = structure(data, cls, found)
        self.problems.extend(p for p in found if not self._may_be_there(p))
        return result

    def _may_be_there(self, problem: Problem) -> bool:
        """Tell whether a missing key may stand on a line that could not be read."""
        if problem.code != MISSING_KEY or not self.damaged:
            return False
        return () in self.damaged or problem.path in self.damaged

    def include_cue_list(
        self,
        listed: dict[str, Any],
        path: Path,
        importers: Mapping[str, CueImporter] | None = None,
    ) -> tuple[Any, ...]:
        """Read the cue list; its problems are kept."""
        from bridgewire.documents.cue_list import read_cue_list
        from bridgewire.documents.structure import structure

        cue_list = structure(listed, CueList, [], ("cue_list",))
        if cue_list is None:
            return ()
        stated = (self.data or {}).get("cue", [])
        first = len(stated) if isinstance(stated, list) else 0
        title = (self.data or {}).get("title")
        title = title if isinstance(title, str) else ""
        read = read_cue_list(cue_list, path, first, importers, title)
        self.problems.extend(read.show_problems)
        self.elsewhere.extend(read.findings)
        if read.spans is not None:
            self.spans = self.spans.including(read.spans)
            self.included = ((read.file, read.sha256),)
        return read.cues

    def include_results(self, results: Results, path: Path) -> None:
        """Add what a filled-in form says; its problems are kept."""
        from bridgewire.documents.bench_list import read_results

        read = read_results(results, self.data or {}, path)
        self.data = read.data
        self.problems.extend(read.problems)
        self.elsewhere.extend(read.findings)
        if read.spans is not None:
            self.spans = self.spans.including(read.spans)
            self.included = ((read.file, read.sha256),)

    def findings(self) -> tuple[Finding, ...]:
        """Return all problems with their places."""
        return (*as_findings(self.problems, self.spans, self.name), *self.elsewhere)

    def document(self) -> Document:
        """Return the document; only where there are no problems."""
        return Document(self.file, self.data or {}, self.spans, self.sha256, self.included)


def _wrong_ending(path: Path) -> Problem:
    endings = list(PARSERS)
    return Problem(
        UNREADABLE,
        f"the file name's ending {path.suffix!r} names no format that can be read",
        expected=one_of(endings),
        got=f"{path.suffix!r}",
        suggestion=closest(path.suffix, endings) if path.suffix else "",
    )


def _looks_like_other(data: Mapping[str, Any], cls: type[Any]) -> Problem | None:
    """Notice a kit profile where a show is wanted, and the other way round."""
    is_show = "kits" in data and "id" not in data
    if cls is BenchRecord and "cue" in data and "trial" not in data:
        return Problem(
            UNKNOWN_KEY,
            "this is a show, not a bench record",
            path=("cue",),
            expected="a bench record",
            got='a document with the key "cue"',
            at_key=True,
        )
    if cls is Show and "trial" in data and "cue" not in data:
        return Problem(
            UNKNOWN_KEY,
            "this is a bench record, not a show",
            path=("trial",),
            expected="a show",
            got='a document with the key "trial"',
            at_key=True,
        )
    is_kit = "id" in data and not {"kits", "title"} & set(data) and "igniter_class" in data
    if cls is Kit and is_show:
        return Problem(
            UNKNOWN_KEY,
            "this is a show, not a kit profile",
            path=("kits",),
            expected="a kit profile",
            got='a document with the key "kits"',
            at_key=True,
        )
    if cls is Show and is_kit:
        return Problem(
            UNKNOWN_KEY,
            "this is a kit profile, not a show",
            path=("id",),
            expected="a show",
            got='a document with the keys "id" and "igniter_class"',
            at_key=True,
        )
    return None
