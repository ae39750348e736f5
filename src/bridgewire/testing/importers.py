"""Whether a cue importer reads what it should, and tells what it cannot read."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike
from pathlib import Path

from bridgewire.documents.imported import (
    CueImportContext,
    CueImporter,
    ImportedCue,
    ImportProblem,
)
from bridgewire.errors import BridgewireError
from bridgewire.model.show import Option
from bridgewire.plugins.guards import guarded_importer
from bridgewire.plugins.plugin_set import Plugin
from bridgewire.testing.problems import fail

_TESTED = Plugin("tested", "", "tested", "0")


def import_cues(
    importer: CueImporter,
    source: str | bytes | PathLike[str],
    *,
    encoding: str = "utf-8",
    options: Mapping[str, Option] | None = None,
) -> tuple[list[ImportedCue], list[ImportProblem]]:
    """Run an importer as the loader of shows does.

    Parameters
    ----------
    importer : CueImporter
        The importer to be tried.
    source : str, bytes or path
        The text itself, or a file as `Path`.
    encoding : str
        Of the text, as a show would state it.
    options : mapping, optional
        What a show would give under ``cue_list.options``.

    Returns
    -------
    cues : list of ImportedCue
        In the file's order.
    problems : list of ImportProblem
        What the importer cannot read.

    Raises
    ------
    AssertionError
        If it fails, gives what the loader would refuse, or has not the options.
    UnicodeError
        If the file is no text in `encoding`.

    Examples
    --------
    >>> def read(context):
    ...     for number, line in enumerate(context.text.splitlines(), 1):
    ...         yield ImportedCue({"id": line, "fire": f"box/1/{number}"}, number)
    >>> cues, problems = import_cues(CueImporter("lines", read), "comet\\nmine")
    >>> [cue.fields["fire"] for cue in cues], problems
    (['box/1/1', 'box/1/2'], [])
    """
    __tracebackhide__ = True
    given = dict(options or {})
    unknown = sorted(set(given) - set(importer.options))
    if unknown:
        fail(f"importer {importer.name!r} has no option {', '.join(unknown)}")
    name, data = _file_of(source, encoding)
    context = CueImportContext(name, data, encoding, "Trial", given)
    try:
        found = list(guarded_importer(_TESTED, importer).read(context))
    except BridgewireError as error:
        fail(f"importer {importer.name!r}:", [error])
    cues = [f for f in found if isinstance(f, ImportedCue)]
    return cues, [f for f in found if isinstance(f, ImportProblem)]


def assert_cue_importer(
    importer: CueImporter,
    good: str | bytes | PathLike[str],
    cues: int,
    *,
    encoding: str = "utf-8",
    options: Mapping[str, Option] | None = None,
) -> None:
    """Assert that an importer reads a good file whole, and survives damaged ones.

    It must find `cues` cues in the good file, without a problem, each on a line that the file has.
    Then it gets the file empty, cut off at several places, and with bytes of every sort between:
    it may tell problems or raise ``UnicodeError``, but nothing else may happen.

    Parameters
    ----------
    importer : CueImporter
        The importer to be tried.
    good : str, bytes or path
        The text itself, or a file as `Path`.
    cues : int
        How many cues are in it.
    encoding : str
        Of the text, as a show would state it.
    options : mapping, optional
        What a show would give under ``cue_list.options``.

    Raises
    ------
    AssertionError
        With what is wrong.

    Examples
    --------
    >>> def read(context):
    ...     yield ImportedCue({"id": context.text, "fire": "box/1/1"}, 1)
    >>> assert_cue_importer(CueImporter("one", read), "comet", cues=1)
    """
    __tracebackhide__ = True
    read, problems = import_cues(importer, good, encoding=encoding, options=options)
    if problems:
        fail(f"importer {importer.name!r} cannot read the good file:", problems)
    if len(read) != cues:
        fail(f"importer {importer.name!r} found {len(read)} cues, not {cues}")
    _, data = _file_of(good, encoding)
    lines = data.decode(encoding).count("\n") + 1
    outside = [c.line for c in read if c.line > lines]
    if outside:
        fail(f"importer {importer.name!r} names lines that the file does not have:", outside)
    for damaged in _damaged(data):
        try:
            import_cues(importer, damaged, encoding=encoding, options=options)
        except UnicodeError:
            continue


def _file_of(source: str | bytes | PathLike[str], encoding: str) -> tuple[str, bytes]:
    """Name and contents of a file, or of a text taken for one."""
    if isinstance(source, bytes):
        return "cues.txt", source
    if isinstance(source, str):
        return "cues.txt", source.encode(encoding)
    return Path(source).name, Path(source).read_bytes()


def _damaged(data: bytes) -> list[bytes]:
    cuts = [data[: len(data) * n // 8] for n in range(8)]
    middle = len(data) // 2
    strange = [b"\x00", b"\xff\xfe", b"\t;,|\"'", "½ ✂".encode(), b"\r\n\r\n", b"-1e999"]
    return [*cuts, *(data[:middle] + s + data[middle:] for s in strange)]
