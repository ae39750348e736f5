"""The same show on other kit: other kit lists, and parts swapped for others."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import click
from attrs import evolve

from bridgewire.api import LoadedShow, resolve_show
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.documents.source import Document
from bridgewire.kits.discovery import find_kits, kit_folders
from bridgewire.model.show import Show
from bridgewire.plugins.plugin_set import PluginSet

Swaps = Mapping[str, str]


def parse_swaps(texts: Sequence[str]) -> Swaps:
    """Read ``FROM=TO`` texts: both kit ids, or both ``kit:entry``.

    Raises
    ------
    click.UsageError
        For a text of another shape.
    """
    swaps: dict[str, str] = {}
    for text in texts:
        old, equals, new = (part.strip() for part in text.partition("="))
        if not (old and equals and new) or (":" in old) != (":" in new):
            raise click.UsageError(
                f"--swap {text!r}: expected KIT=KIT or KIT:ENTRY=KIT:ENTRY, for example "
                "harrowmere:heron=harrowmere:teal"
            )
        swaps[old] = new
    return swaps


def on_kits(
    file: str,
    show: Show,
    document: Document,
    kit_dirs: Sequence[str],
    kits: Sequence[str] | None = None,
    swaps: Swaps | None = None,
    plugins: PluginSet | None = None,
) -> LoadedShow:
    """Resolve a show that has been read against a kit list.

    Parameters
    ----------
    file : str
    show : Show
    document : Document
    kit_dirs : sequence of str
    kits : sequence of str, optional
        Kit ids in place of the show's own.
    swaps : mapping, optional
        References to replace, see `parse_swaps`.
    plugins : PluginSet, optional
        None where absent.

    Raises
    ------
    InputError
        With everything that the kit list lacks.
    click.UsageError
        If a swap matches nothing in the show.
    """
    plugins = PluginSet() if plugins is None else plugins
    folders = kit_folders(Path(file), [Path(d) for d in kit_dirs])
    names = list(show.kits if kits is None else kits)
    if swaps:
        own_folders = [*folders, *plugins.kits]
        own = Catalogue({k: v.kit for k, v in find_kits(show.kits, own_folders).items()})
        show = swapped(show, own, swaps)
        wanted = [new.split(":", 1)[0] for new in swaps.values()]
        names += [name for name in dict.fromkeys(wanted) if name not in names]
    show = evolve(show, kits=tuple(names))
    return resolve_show(file, show, document, folders, plugins)


def swapped(show: Show, own: Catalogue, swaps: Swaps) -> Show:
    """Replace references to kit entries.

    Parameters
    ----------
    show : Show
    own : Catalogue
        Of the show's own kits, to tell what a bare reference means.
    swaps : mapping
    """
    used: set[str] = set()

    def change(ref: str, full_id: Callable[[str], str | None]) -> str:
        full = full_id(ref) or ref
        kit, colon, entry = full.partition(":")
        if full in swaps:
            used.add(full)
            return swaps[full]
        if colon and kit in swaps:
            used.add(kit)
            return f"{swaps[kit]}:{entry}"
        return ref

    def maybe(ref: str | None, full_id: Callable[[str], str | None]) -> str | None:
        return None if ref is None else change(ref, full_id)

    changed = evolve(
        show,
        box=tuple(evolve(b, kind=change(b.kind, own.boxes.full_id)) for b in show.box),
        strip=tuple(evolve(s, kind=change(s.kind, own.strips.full_id)) for s in show.strip),
        splitter=tuple(
            evolve(s, kind=change(s.kind, own.splitters.full_id)) for s in show.splitter
        ),
        run=tuple(
            evolve(
                r,
                cable=change(r.cable, own.cables.full_id),
                joint_contact=maybe(r.joint_contact, own.contacts.full_id),
            )
            for r in show.run
        ),
        igniter=tuple(
            evolve(
                i,
                class_=change(i.class_, own.igniters.full_id),
                lead_cable=maybe(i.lead_cable, own.cables.full_id),
            )
            for i in show.igniter
        ),
    )
    unused = [old for old in swaps if old not in used]
    if unused:
        raise click.UsageError(f"--swap: nothing in the show is {unused[0]!r}")
    return changed
