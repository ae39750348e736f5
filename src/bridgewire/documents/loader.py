"""Loads documents: kit profiles, shows and bench records, from TOML, YAML or JSON."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import attrs

from bridgewire.documents.fields import entry_tables
from bridgewire.documents.imported import CueImporter
from bridgewire.documents.opened import Opened
from bridgewire.documents.problems import same_ids
from bridgewire.documents.source import Document
from bridgewire.errors import InputError
from bridgewire.model.bench import BenchRecord, Results
from bridgewire.model.kit import Kit
from bridgewire.model.show import Show


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
        With every problem found, each with its place; two entries of one kind with one id are one.
    """
    kit = opened.structure(Kit)
    if kit is not None:
        for table in entry_tables(Kit):
            opened.problems.extend(same_ids(table, [e.id for e in getattr(kit, table)]))
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
