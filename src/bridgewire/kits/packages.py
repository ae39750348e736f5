"""Kit profiles in installed packages that hold only data.

A package offers its profiles by an entry point of the group ``bridgewire.kits`` whose value names
the package folder that holds them, for example in its ``pyproject.toml``::

    [project.entry-points."bridgewire.kits"]
    lakeside = "lakeside_kits"

Nothing of the package is imported: its folder is found by the list of installed files, or by
asking where the package would be imported from.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from attrs import frozen

from bridgewire.documents.opened import PARSERS
from bridgewire.kits.installed import metadata_folders

if TYPE_CHECKING:
    from importlib.metadata import Distribution

GROUP = "bridgewire.kits"


@frozen
class KitPackage:
    """One entry point that offers kit profiles."""

    name: str
    value: str
    distribution: str
    version: str
    folder: Path | None
    """Where the profiles are; None where the folder cannot be found."""
    problem: str = ""

    def words(self) -> str:
        """Name the entry point for a person.

        >>> KitPackage("lakeside", "lakeside_kits", "lakeside", "1.0", None).words()
        "'lakeside' of the package lakeside 1.0"
        """
        return f"{self.name!r} of the package {self.distribution} {self.version}".rstrip()


def kit_packages() -> tuple[KitPackage, ...]:
    """List the entry points of installed packages that offer kit profiles.

    Returns
    -------
    tuple of KitPackage
        By name. One that is broken has a problem and no folder; it stops nothing.

    Notes
    -----
    Only ``entry_points.txt`` files that name the group are read with ``importlib.metadata``, which
    takes longer to import than all kit profiles to find. Packages that only a special importer
    can see (inside a zip file, for instance) are not found.

    Examples
    --------
    >>> isinstance(kit_packages(), tuple)
    True
    """
    found = [package for folder in metadata_folders(GROUP) for package in _offered(folder)]
    return tuple(sorted(found, key=lambda p: (p.name, p.distribution)))


def package_folders() -> tuple[Path, ...]:
    """List the folders of installed packages that hold kit profiles."""
    return tuple(p.folder for p in kit_packages() if p.folder is not None)


def _offered(metadata: Path) -> Iterator[KitPackage]:
    from importlib.metadata import PathDistribution

    distribution = PathDistribution(metadata)
    try:
        points = [p for p in distribution.entry_points if p.group == GROUP]
        name, version = str(distribution.metadata["Name"]), str(distribution.version)
    except Exception as error:  # damaged metadata of others; it stops nothing
        yield KitPackage("", "", metadata.name, "", None, f"its metadata cannot be read: {error}")
        return
    for point in points:
        folder, problem = _folder_of(distribution, point.value)
        yield KitPackage(point.name, point.value, name, version, folder, problem)


def _folder_of(distribution: Distribution, value: str) -> tuple[Path | None, str]:
    module = value.partition(":")[0].strip().split("[")[0].strip()
    parts = tuple(module.split("."))
    if not all(p.isidentifier() for p in parts):
        return None, f"{value!r} is not the name of a package"
    listed = distribution.files or []
    for file in listed:
        if PurePosixPath(file).parts[:-1] == parts and file.suffix.lower() in PARSERS:
            folder = Path(str(distribution.locate_file(PurePosixPath(*parts))))
            if folder.is_dir():
                return folder, ""
    for folder in _searched(parts):
        if folder.is_dir():
            return folder, ""
    return None, f"there is no folder of the package {module!r}"


def _searched(parts: tuple[str, ...]) -> Iterator[Path]:
    """Yield where a package would be imported from; only its top is looked up, so nothing runs."""
    from importlib.util import find_spec

    try:
        spec = find_spec(parts[0])
    except (ImportError, ValueError):
        return
    for place in (spec.submodule_search_locations or ()) if spec is not None else ():
        yield Path(place, *parts[1:])
