"""A file under way from text to model: what could be read of it, and every problem so far."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import attrs

from bridgewire.diagnostics import DocPath, Finding
from bridgewire.documents.imported import CueImporter
from bridgewire.documents.limits import first_excess
from bridgewire.documents.mistaken import mistaken_kind
from bridgewire.documents.parsed import Parsed, no_places
from bridgewire.documents.problems import (
    MISSING_KEY,
    TOO_LARGE,
    UNREADABLE,
    Problem,
    as_findings,
    closest,
    one_of,
)
from bridgewire.documents.source import Document, SourceMap
from bridgewire.documents.text import RefusedError, SourceText, read_text
from bridgewire.model.bench import Results
from bridgewire.model.show import Cue, CueList


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


@attrs.define
class Opened:
    """A file under way from text to model.

    Attributes
    ----------
    file : str
        As given.
    name : str
        What findings call the document: ``show``, ``kit:<id>``, ``bench`` or ``site``.
    data : dict or None
        Plain data; None where nothing could be read.
    spans : SourceMap
    sha256 : str
        Of the file's bytes, in hexadecimal; empty where it could not be read.
    damaged : frozenset of DocPath
        Tables in which a line could not be read.
    problems : list of Problem
        To be placed in this file.
    elsewhere : list of Finding
        Placed in files that the document takes in.
    included : tuple of (str, str)
        Name and SHA-256 of these files.
    """

    file: str
    name: str
    data: dict[str, Any] | None
    spans: SourceMap
    sha256: str = ""
    damaged: frozenset[DocPath] = frozenset()
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
        """Make the object of a model class; None where anything is wrong."""
        from bridgewire.documents.structure import structure

        data = self.current_data()
        if data is None:
            return None
        other = mistaken_kind(data, cls)
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
    ) -> tuple[Cue, ...]:
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
        self._take_in(read.file, read.sha256, read.spans, read.show_problems, read.findings)
        return read.cues

    def include_results(self, results: Results, path: Path) -> None:
        """Add what a filled-in form says; its problems are kept."""
        from bridgewire.documents.bench_list import read_results

        read = read_results(results, self.data or {}, path)
        self.data = read.data
        self._take_in(read.file, read.sha256, read.spans, read.problems, read.findings)

    def _take_in(
        self,
        file: str,
        sha256: str,
        spans: SourceMap | None,
        problems: tuple[Problem, ...],
        findings: tuple[Finding, ...],
    ) -> None:
        self.problems.extend(problems)
        self.elsewhere.extend(findings)
        if spans is not None:
            self.spans = self.spans.including(spans)
            self.included = ((file, sha256),)

    def findings(self) -> tuple[Finding, ...]:
        """Return all problems with their places."""
        return (*as_findings(self.problems, self.spans, self.name), *self.elsewhere)

    def document(self) -> Document:
        """Return the document; only where there are no problems."""
        return Document(self.file, self.data or {}, self.spans, self.sha256, self.included)


def _wrong_ending(path: Path) -> Problem:
    endings = list(PARSERS)
    ending = f"ending {path.suffix!r}" if path.suffix else "lack of an ending"
    return Problem(
        UNREADABLE,
        f"the file name's {ending} does not tell which format it has",
        expected=f"a name that ends in {one_of(endings)}",
        got=f"{path.name!r}",
        suggestion=closest(path.suffix, endings) if path.suffix else "",
    )
