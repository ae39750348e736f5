"""Whether a kit profile can be used: shape, sources, plausibility, and whether every rule runs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from os import PathLike
from pathlib import Path
from typing import Any

import attrs

from bridgewire.authoring.validation import entries_of, validate
from bridgewire.diagnostics import Finding, format_path
from bridgewire.documents.loader import load_document
from bridgewire.documents.schema import schema_of
from bridgewire.errors import InputError
from bridgewire.kits.discovery import LoadedKit, kit_folders, load_kit_file
from bridgewire.plugins.manager import load_plugins
from bridgewire.report.kit_gaps import Entry
from bridgewire.testing.kit_trials import trial_problems
from bridgewire.testing.problems import Problem, fail


def check_kit_profile(
    path: str | PathLike[str],
    *,
    kit_dirs: Iterable[str | PathLike[str]] = (),
    complete: bool = False,
) -> list[Problem]:
    """List what keeps a kit profile from being relied on.

    Units need no test of their own: they are in the keys, and a key that is not in the schema is
    refused. The profile's boxes, strips, cables, splitters, contacts and igniter classes are put
    together to small shows (with the generic kit's where it has none of a sort), and every rule
    runs on them: none may fail, and no verdict may be *unknown* for want of something that the
    profile should state.

    Parameters
    ----------
    path : path
        A ``.toml``, ``.yaml``, ``.yml`` or ``.json`` file.
    kit_dirs : iterable of path
        Further folders in which profiles that it extends are looked for.
    complete : bool
        Count values that only single rules need (a rated current, a longest piece), too.

    Returns
    -------
    list of Problem
        Empty where the profile conforms.

    Examples
    --------
    >>> from bridgewire.kits.discovery import shipped_profiles_dir
    >>> check_kit_profile(shipped_profiles_dir() / "harrowmere.toml", complete=True)
    []
    """
    file = Path(path)
    try:
        folders = kit_folders(file, [Path(d) for d in kit_dirs])
        loaded = load_kit_file(file, (*folders, *load_plugins().kits))
    except InputError as error:
        return [_unreadable(str(file), f) for f in error.findings]
    found = [*_schema_problems(file), *_source_problems(file, loaded)]
    validation = validate(loaded)
    found += [
        Problem(str(file), "doubt", f"{d.item}: {d.key}" if d.key else d.item, d.why)
        for d in validation.doubts
    ]
    gaps = [g for g in validation.gaps if g.blocks or complete]
    found += [
        Problem(str(file), "gap", f"{g.item}: {g.key}", f"is not stated; needed for: {g.prevents}")
        for g in gaps
    ]
    missing = {(g.item, g.key) for g in validation.gaps if g.blocks}
    found += trial_problems(str(file), loaded.kit, missing)
    return found


def assert_kit_conforms(
    path: str | PathLike[str],
    *,
    kit_dirs: Iterable[str | PathLike[str]] = (),
    complete: bool = False,
) -> None:
    """Assert that `check_kit_profile` finds nothing.

    Parameters
    ----------
    path : path
        A ``.toml``, ``.yaml``, ``.yml`` or ``.json`` file.
    kit_dirs : iterable of path
        Further folders in which profiles that it extends are looked for.
    complete : bool
        Count values that only single rules need, too.

    Raises
    ------
    AssertionError
        With a line for each problem.

    Examples
    --------
    >>> from bridgewire.kits.discovery import shipped_profiles_dir
    >>> assert_kit_conforms(shipped_profiles_dir() / "harrowmere.toml")
    """
    __tracebackhide__ = True
    found = check_kit_profile(path, kit_dirs=kit_dirs, complete=complete)
    if found:
        fail(f"{path} does not conform:", found)


def _unreadable(file: str, finding: Finding) -> Problem:
    where = finding.location
    place = format_path(finding.path)
    if where is not None:
        file = str(where)
    return Problem(file, "document", place, f"{finding.code} {finding.message}")


def _schema_problems(file: Path) -> Iterator[Problem]:
    """What the JSON Schema says, where the package jsonschema is installed."""
    try:
        from jsonschema import Draft202012Validator
    except ImportError:
        return
    data = load_document(file).data
    for error in Draft202012Validator(schema_of("kit")).iter_errors(data):
        yield Problem(str(file), "schema", format_path(tuple(error.absolute_path)), error.message)


def _source_problems(file: Path, loaded: LoadedKit) -> Iterator[Problem]:
    for item, key in validate(loaded).without_source:
        yield Problem(str(file), "source", f"{item}: {key}", "has no entry under sources")
    for item, _, entry in entries_of(loaded.kit):
        for key, source in entry.sources.items():
            place = f"{item}: sources.{key}"
            if not source.strip():
                yield Problem(str(file), "source", place, "is empty")
            if key != "*" and not _stated(entry, key):
                yield Problem(str(file), "source", place, "names a value that is not stated")


def _stated(entry: Entry, key: str) -> bool:
    """Whether an entry has a value, or a table of values, at a dotted key."""
    inside: Any = entry
    for step in key.split("."):
        if isinstance(inside, Mapping):
            inside = inside.get(step)
        elif attrs.has(type(inside)):
            inside = getattr(inside, step, None)
        else:
            return False
        if inside is None:
            return False
    return True
