"""Cue lists of other formats: what an importer is given, and what it gives back.

An importer is a function from outside. It turns a file into plain tables of cues; the loader
checks these as it checks the cues of a show, and points at the lines that the importer names.
"""

from __future__ import annotations

import codecs
from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeAlias

from attrs import field, frozen

from bridgewire.diagnostics import Finding
from bridgewire.errors import BridgewireError
from bridgewire.model.show import Option as Option


@frozen
class CueImportContext:
    """What a cue importer is given.

    Parameters
    ----------
    file : str
        Name of the file, for messages; it need not be opened.
    data : bytes
        The whole file, at most 20 MB.
    encoding : str
        As the show states it in ``cue_list.encoding``, ``utf-8`` where it does not.
    show_title : str
        Empty where the show has none that can be read.
    options : mapping of str to str, int, float or bool
        The show's ``cue_list.options``.

    Examples
    --------
    >>> context = CueImportContext("cues.txt", b"comet,12.5", options={"gap": ","})
    >>> context.text.split(context.options["gap"])
    ['comet', '12.5']
    """

    file: str
    data: bytes = field(repr=False)
    encoding: str = "utf-8"
    show_title: str = ""
    options: Mapping[str, Option] = field(factory=dict)

    @property
    def text(self) -> str:
        """The file as text in `encoding`, without a byte order mark.

        A file that is no such text is reported as the show's fault, not the importer's: let the
        ``UnicodeError`` pass.
        """
        is_utf8 = codecs.lookup(self.encoding).name == "utf-8"
        return self.data.decode("utf-8-sig" if is_utf8 else self.encoding)


@frozen
class ImportedCue:
    """One cue that an importer has read.

    Parameters
    ----------
    fields : mapping
        Keys of a cue as a show file has them (``id``, ``fire``, ``time_s`` and so on), with
        plain values: texts, numbers, truths, lists of these, and for ``repeat`` a mapping. Every
        value is checked as it would be in a show.
    line : int
        Where the cue stands in the file, from 1.
    column : int, optional
        From 1; the whole line where absent.
    places : mapping of str to (int, int)
        Line and column of single fields, where the importer knows them.

    Examples
    --------
    >>> ImportedCue({"id": "1", "fire": "heron/1/3", "time_s": 12.0}, line=4).line
    4
    """

    fields: Mapping[str, Any]
    line: int
    column: int | None = None
    places: Mapping[str, tuple[int, int]] = field(factory=dict)


@frozen
class ImportProblem:
    """Something in the file that an importer cannot read.

    Parameters
    ----------
    line : int
        From 1.
    message : str
        What is wrong, for whoever wrote the file.
    column : int, optional
        From 1; the whole line where absent.
    expected : str
        What should stand there.

    Examples
    --------
    >>> ImportProblem(7, "the time is no number", expected="seconds, such as 12.5").line
    7
    """

    line: int
    message: str
    column: int | None = None
    expected: str = ""


ReadCues: TypeAlias = Callable[[CueImportContext], Iterable[ImportedCue | ImportProblem]]


@frozen(eq=False)
class CueImporter:
    """Reads cue lists of one format.

    Parameters
    ----------
    name : str
        What a show names as ``cue_list.importer``: lower-case letters, digits and hyphens.
    read : callable
        From `CueImportContext` to `ImportedCue` and `ImportProblem` objects in the file's order.
    options : tuple of str
        Keys that a show may give under ``cue_list.options``; any other is an error.
    title : str
        What it reads, in a few words.

    Examples
    --------
    >>> def read(context):
    ...     for number, line in enumerate(context.text.splitlines(), 1):
    ...         yield ImportedCue({"id": line, "fire": f"heron-1/1/{number}"}, number)
    >>> importer = CueImporter("names-only", read, title="one cue a line")
    >>> [cue.fields["id"] for cue in importer.read(CueImportContext("a.txt", b"comet"))]
    ['comet']
    """

    name: str
    read: ReadCues
    options: tuple[str, ...] = ()
    title: str = ""


class ImporterError(BridgewireError):
    """An importer failed, or gave back what nobody can use; the finding says which and how."""

    def __init__(self, finding: Finding) -> None:
        self.finding = finding
        super().__init__(finding.message)
