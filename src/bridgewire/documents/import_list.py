"""A cue list that a plugin's importer has read, checked as the cues of a show are."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bridgewire.diagnostics import DocPath, Finding
from bridgewire.documents.imported import (
    CueImportContext,
    CueImporter,
    ImportedCue,
    ImporterError,
    ImportProblem,
)
from bridgewire.documents.problems import (
    CUE_LIST,
    DANGLING,
    UNKNOWN_KEY,
    Problem,
    closest,
    one_of,
    shown,
)
from bridgewire.documents.source import Lines, Span
from bridgewire.documents.structure import structure
from bridgewire.model.show import Cue, CueList, Option


def importer_of(
    cue_list: CueList, importers: Mapping[str, CueImporter]
) -> tuple[CueImporter | None, list[Problem]]:
    """Find the importer that a cue list names.

    Returns
    -------
    CueImporter or None
        None for a CSV file, and where there is no such importer.
    list of Problem
        Unknown importer or options; to be placed in the show document.
    """
    name = cue_list.importer
    if name is None:
        return None, []
    importer = importers.get(name)
    if importer is None:
        known = sorted(importers)
        return None, [
            Problem(
                DANGLING,
                f"there is no cue importer {name!r}",
                path=("cue_list", "importer"),
                expected=one_of(known) if known else "an importer that an installed plugin brings",
                got=shown(name),
                suggestion=closest(name, known),
                remedy="Install the plugin that brings it; 'bridgewire plugins' lists all.",
            )
        ]
    return importer, [
        Problem(
            UNKNOWN_KEY,
            f"the cue importer {name!r} has no option {key!r}",
            path=("cue_list", "options", key),
            expected=one_of(importer.options) or "no option",
            got=f"{key!r}",
            suggestion=closest(key, importer.options),
            at_key=True,
        )
        for key in cue_list.options
        if key not in importer.options
    ]


class ImportedList:
    """What an importer makes of one file.

    Parameters
    ----------
    importer : CueImporter
    text : str
        The file as text, for places and snippets.
    first_index : int
        Index of the first cue among the show's cues.
    """

    def __init__(self, importer: CueImporter, text: str, first_index: int) -> None:
        self.importer = importer
        self.text = text
        self.next_index = first_index
        self.cues: list[Cue] = []
        self.problems: list[Problem] = []
        self.places: dict[DocPath, Span] = {}
        self.failure: Finding | None = None
        """What is wrong with the importer itself."""
        self._lines = Lines(text)

    def read(
        self, file: str, data: bytes, encoding: str, title: str, options: Mapping[str, Option]
    ) -> bool:
        """Run the importer; False where it needs the file as text and it is none.

        A guarded importer raises ``UnicodeError`` only for a file that is no text.
        """
        context = CueImportContext(file, data, encoding, title, options)
        try:
            found = list(self.importer.read(context))
        except ImporterError as error:
            self.failure = error.finding
            return True
        except UnicodeError:
            return False
        for item in found:
            if isinstance(item, ImportProblem):
                self._problem(item)
            else:
                self._cue(item)
        if not found:
            message = f"the importer {self.importer.name!r} finds no cue in the file"
            self.problems.append(Problem(CUE_LIST, message, span=(0, 1)))
        return True

    def _problem(self, item: ImportProblem) -> None:
        self.problems.append(
            Problem(
                CUE_LIST,
                item.message,
                expected=item.expected,
                span=self._span(item.line, item.column),
            )
        )

    def _cue(self, item: ImportedCue) -> None:
        path: DocPath = ("cue", self.next_index)
        self.next_index += 1
        self.places[path] = self._span(item.line, item.column)
        for key, (line, column) in item.places.items():
            self.places[(*path, key)] = self._span(line, column)
        raw: dict[str, Any] = {key: _plain(value) for key, value in item.fields.items()}
        cue = structure(raw, Cue, self.problems, path)
        if cue is not None:
            self.cues.append(cue)

    def _span(self, line: int, column: int | None) -> Span:
        """Characters of a place; of the last line where the file has fewer."""
        starts = self._lines.starts
        row = min(line, len(starts)) - 1
        begin = starts[row]
        end = starts[row + 1] - 1 if row + 1 < len(starts) else len(self.text)
        if column is None:
            body = self.text[begin:end]
            return begin + len(body) - len(body.lstrip()), begin + len(body.rstrip())
        start = min(begin + column - 1, end)
        return start, start + 1


def _plain(value: Any) -> Any:
    """Tuples as the lists that documents have, and mappings as tables."""
    if isinstance(value, Mapping):
        return {key: _plain(entry) for key, entry in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(entry) for entry in value]
    return value
