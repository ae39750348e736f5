"""One kit profile judged alone: what is missing, what that prevents, what is hardly right."""

from __future__ import annotations

from collections.abc import Iterator

import attrs
from attrs import frozen

from bridgewire.diagnostics import DocPath
from bridgewire.kits.discovery import LoadedKit
from bridgewire.kits.profile_source import TABLES
from bridgewire.model.band import Band
from bridgewire.model.kit import Kit
from bridgewire.physics.kit_plausibility import kit_judgments
from bridgewire.report.kit_gaps import Doubt, Entry, Gap, kit_doubts, kit_gaps
from bridgewire.rules.kit007_inconsistent_igniter_data import contradictions
from bridgewire.rules.kit_items import NOUNS, stated_values


@frozen
class Validation:
    """What is to be said of a profile.

    Attributes
    ----------
    gaps : tuple of Gap
        Values that are not stated, with what each prevents from being checked.
    doubts : tuple of Doubt
        Values that are hardly right, or that contradict one another or physics.
    without_source : tuple of (item, key)
        Values of unknown origin.
    """

    gaps: tuple[Gap, ...]
    doubts: tuple[Doubt, ...]
    without_source: tuple[tuple[str, str], ...]

    @property
    def clean(self) -> bool:
        """Whether nothing is missing and nothing is hardly right."""
        return not self.gaps and not self.doubts


def entries_of(kit: Kit) -> Iterator[tuple[str, DocPath, Entry]]:
    """Yield every entry with what a person calls it and its path."""
    for table in TABLES:
        for index, entry in enumerate(getattr(kit, table)):
            yield f"{NOUNS[table]} {entry.id}", (table, index), entry


def validate(loaded: LoadedKit) -> Validation:
    """Judge a profile.

    Parameters
    ----------
    loaded : LoadedKit
        Merged with what it extends; a doubt about an inherited value says where it stands.

    Returns
    -------
    Validation

    Examples
    --------
    >>> from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
    >>> validate(find_kits(["harrowmere"], [shipped_profiles_dir()])["harrowmere"]).doubts
    ()
    """
    kit = loaded.kit
    found: dict[tuple[str, str], Doubt] = {}
    paths = {item: path for item, path, _ in entries_of(kit)}
    for doubt in (*_contradicting(kit), *kit_doubts(kit), *_judged(kit), *_dangling(kit)):
        key = (doubt.item, doubt.key)
        if key not in found:
            found[key] = _placed(doubt, loaded, paths)
    values = [
        (item, entry, key) for item, _, entry in entries_of(kit) for key, _ in stated_values(entry)
    ]
    return Validation(
        kit_gaps(kit),
        tuple(found.values()),
        tuple((item, key) for item, entry, key in values if not has_source(entry, key)),
    )


def has_source(entry: Entry, key: str) -> bool:
    """Tell whether a dotted key, a table it is in, or everything has a source.

    >>> from bridgewire.model.kit import Contact
    >>> has_source(Contact("plug", rated_A=5.0, sources={"*": "label"}), "rated_A")
    True
    """
    steps = key.split(".")
    heads = {".".join(steps[: n + 1]) for n in range(len(steps))}
    return not heads.isdisjoint(entry.sources) or "*" in entry.sources


def _contradicting(kit: Kit) -> Iterator[Doubt]:
    for klass in kit.igniter_class:
        for key, message, *_ in contradictions(klass, Band.exact(20.0)):
            yield Doubt(f"igniter class {klass.id}", key, message)


def _judged(kit: Kit) -> Iterator[Doubt]:
    for j in kit_judgments(kit):
        entry = getattr(kit, j.table)[j.index]
        yield Doubt(f"{NOUNS[j.table]} {entry.id}", j.key, j.message)


def _dangling(kit: Kit) -> Iterator[Doubt]:
    """Contacts that entries name and the kit does not have; another kit of the show may."""
    known = {c.id for c in kit.contact}
    for item, _, entry in entries_of(kit):
        for a in attrs.fields(type(entry)):
            ref = getattr(entry, a.name)
            if not a.name.endswith("_contact") or ref is None or ":" in ref or ref in known:
                continue
            yield Doubt(item, a.name, f"names {ref!r}, which this kit does not have")


def _placed(doubt: Doubt, loaded: LoadedKit, paths: dict[str, DocPath]) -> Doubt:
    """Add where an inherited value stands."""
    if not loaded.extended or not doubt.key or " " in doubt.key:
        return doubt
    origin = loaded.origin_of((*paths[doubt.item], *doubt.key.split(".")))
    if origin.kit_id == loaded.kit.id:
        return doubt
    return attrs.evolve(doubt, why=f"{doubt.why} [from {origin}]")
