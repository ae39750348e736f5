"""Finds kit profiles by id in folders.

A profile is a TOML, YAML or JSON file with an ``id`` at its top; the file's name does not matter.
Shows and other files in the same folder are passed over. One id in two files is an error: nobody
should have to guess which of two profiles a check has used.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from attrs import frozen

from bridgewire.diagnostics import DocPath, Finding, Location
from bridgewire.documents.limits import MAX_BYTES
from bridgewire.documents.loader import PARSERS, load_kit
from bridgewire.documents.problems import DANGLING, closest, one_of
from bridgewire.documents.source import Document, SourceMap
from bridgewire.errors import InputError
from bridgewire.model.kit import Kit

DUPLICATE_KIT = "DOC018"
"""Two kit profiles have one id."""

_HEAD_BYTES = 64_000
_TOML_ID = re.compile(r"""^[ \t]*(?:id|"id"|'id')[ \t]*=[ \t]*(["'])(.*?)\1""", re.M)
_TOML_KITS = re.compile(r"""^[ \t]*["']?kits["']?[ \t]*=""", re.M)
_TOML_HEADER = re.compile(r"^[ \t]*\[", re.M)
_YAML_ID = re.compile(
    r"""^(?:id|"id"|'id')[ \t]*:[ \t]+(["']?)([^#\n]*?)\1[ \t]*(?:#.*)?\r?$""", re.M
)
_YAML_KITS = re.compile(r"""^["']?kits["']?[ \t]*:""", re.M)


@frozen
class LoadedKit:
    """A kit profile and the document it was read from."""

    kit: Kit
    document: Document


def shipped_profiles_dir() -> Path:
    """Return the folder of the profiles that come with the library.

    In an installed package that is ``bridgewire/profiles``; in a checkout the repository's
    ``profiles``.

    Examples
    --------
    >>> shipped_profiles_dir().name
    'profiles'
    """
    package = Path(__file__).resolve().parent.parent
    installed = package / "profiles"
    return installed if installed.is_dir() else package.parent.parent / "profiles"


def kit_folders(show_file: Path | None, kit_dirs: Sequence[Path] = ()) -> tuple[Path, ...]:
    """List the folders in which a show's kit profiles are looked for.

    Parameters
    ----------
    show_file : Path or None
        The show document; its folder, and ``kits`` in it, come first.
    kit_dirs : sequence of Path
        Folders that the user names.

    Returns
    -------
    tuple of Path
        Without repeats; the shipped profiles come last.

    Examples
    --------
    >>> [p.name for p in kit_folders(Path("club/night.toml"))]
    ['club', 'kits', 'profiles']
    """
    own = () if show_file is None else (show_file.parent, show_file.parent / "kits")
    return tuple(dict.fromkeys((*own, *kit_dirs, shipped_profiles_dir())))


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
    return _load([(path, head) for path, head in _profiles(folders) if head != ""])


def find_kits(
    ids: Sequence[str], folders: Sequence[Path], spans: SourceMap | None = None
) -> Mapping[str, LoadedKit]:
    """Load the kit profiles that a show names; other profiles are not parsed.

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
        With every profile that is not found (DOC011), every problem of those found, and every
        id that two files share (DOC018).

    Examples
    --------
    >>> dict(find_kits([], []))
    {}
    """
    wanted = set(ids)
    known: list[str] = []
    chosen: list[tuple[Path, str]] = []
    for path, head in _profiles(folders):
        if head:
            known.append(head)
        # A file whose id cannot be read counts by its name, so that its problems are shown.
        if head in wanted or (not head and path.stem in wanted):
            chosen.append((path, head))
    findings: list[Finding] = []
    loaded: Mapping[str, LoadedKit] = {}
    try:
        loaded = _load(chosen)
    except InputError as error:
        findings.extend(error.findings)
    found = set(loaded) | {head or path.stem for path, head in chosen}
    for index, name in enumerate(ids):
        if name not in found:
            findings.append(_not_found(name, ("kits", index), known, folders, spans))
    if findings:
        raise InputError(tuple(findings))
    return {name: loaded[name] for name in dict.fromkeys(ids)}


def _not_found(
    name: str,
    path: DocPath,
    known: Sequence[str],
    folders: Sequence[Path],
    spans: SourceMap | None,
) -> Finding:
    choices = sorted(set(known))
    return Finding(
        DANGLING,
        f"there is no kit profile {name!r}",
        path=path,
        expected=one_of(choices) if choices else "a kit profile in one of the folders searched",
        got=f"{name!r}",
        suggestion=closest(name, choices),
        remedy="Looked in: " + ", ".join(str(f) for f in folders) + ".",
        location=spans.locate(path) if spans is not None else None,
    )


def _load(files: Sequence[tuple[Path, str]]) -> Mapping[str, LoadedKit]:
    loaded: dict[str, LoadedKit] = {}
    findings: list[Finding] = []
    for path, _ in files:
        try:
            kit, document = load_kit(path)
        except InputError as error:
            findings.extend(error.findings)
            continue
        first = loaded.get(kit.id)
        if first is None:
            loaded[kit.id] = LoadedKit(kit, document)
        else:
            findings.extend(_shared_id(kit.id, first.document, document))
    if findings:
        raise InputError(tuple(findings))
    return loaded


def _shared_id(name: str, first: Document, second: Document) -> Iterator[Finding]:
    """Report an id of two files, at both places."""
    places = [d.spans.locate(("id",)) for d in (first, second)]
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


def _profiles(folders: Sequence[Path]) -> Iterator[tuple[Path, str]]:
    """Yield the files that may be profiles with their ids; an empty id where none was seen."""
    seen: set[Path] = set()
    for folder in folders:
        if not folder.is_dir():
            continue
        for path in sorted(folder.iterdir()):
            if path.suffix.lower() not in PARSERS or not path.is_file():
                continue
            whole = path.resolve()
            if whole in seen:
                continue
            seen.add(whole)
            head = _id_at_head(path)
            if head is not None:
                yield path, head


def _id_at_head(path: Path) -> str | None:
    """Read the id without parsing; empty where there is none to see, None for a show."""
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES if path.suffix.lower() == ".json" else _HEAD_BYTES)
    except OSError:
        return ""
    text = raw.decode("utf-8", "replace").removeprefix("\ufeff")
    ending = path.suffix.lower()
    if ending == ".json":
        return _json_id(text)
    if ending == ".toml":
        header = _TOML_HEADER.search(text)
        text = text[: header.start()] if header else text
        is_show, found = _TOML_KITS.search(text), _TOML_ID.search(text)
    else:
        is_show, found = _YAML_KITS.search(text), _YAML_ID.search(text)
    if is_show:
        return None
    return found.group(2) if found else ""


def _json_id(text: str) -> str | None:
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return ""
    if not isinstance(data, dict) or "kits" in data:
        return None
    named = data.get("id")
    return named if isinstance(named, str) else ""
