"""References and wiring of a show that could not be read whole."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable

from attrs import evolve

from bridgewire.circuit.addresses import NOT_WIRED
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.places import part_name
from bridgewire.circuit.resolve import resolve
from bridgewire.diagnostics import DocPath, Finding
from bridgewire.documents.salvage import Salvage
from bridgewire.physics.laws import Models

DANGLING = "DOC011"
KIT_REFERENCES = ("kind", "cable", "class", "lead_cable", "joint_contact")
"""Keys of a show whose values name entries of kits."""

_PLACE = re.compile(r"\b([a-z]+)\[(\d+)\]")


def problems_of_the_rest(
    salvage: Salvage, catalogue: Catalogue, models: Models, *, kits_complete: bool
) -> tuple[Finding, ...]:
    """Findings that hold whatever was left out.

    Parameters
    ----------
    salvage : Salvage
    catalogue : Catalogue
        Of the kits that were found.
    models : Models
    kits_complete : bool
        Whether every kit was found; if not, nothing is said of references into kits.

    Returns
    -------
    tuple of Finding
        With paths in the whole document.
    """
    _, found = resolve(salvage.show, catalogue, models)
    if not kits_complete:
        found = without_kit_references(found)
    return tuple(
        evolve(f, path=_path(salvage, f.path), message=_message(salvage, f.message))
        for f in found
        if not _may_be_due_to_what_is_left_out(salvage, f)
    )


def without_kit_references(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Leave out what a kit that was not found could mend."""
    return tuple(
        f for f in findings if not (f.code == DANGLING and f.path and f.path[-1] in KIT_REFERENCES)
    )


def _may_be_due_to_what_is_left_out(salvage: Salvage, finding: Finding) -> bool:
    if finding.code != DANGLING:
        return False
    if finding.path and finding.path[-1] in KIT_REFERENCES:
        return False
    if salvage.nameless or (salvage.runs_left_out and NOT_WIRED in finding.message):
        return True
    # `got` is the reference as Python writes a text.
    named = ast.literal_eval(finding.got) if finding.got[:1] in {"'", '"'} else finding.got
    return bool({named, part_name(named)} & salvage.left_out)


def _path(salvage: Salvage, path: DocPath) -> DocPath:
    if len(path) > 1 and isinstance(path[1], int) and path[0] in salvage.kept:
        return (path[0], salvage.kept[str(path[0])][path[1]], *path[2:])
    return path


def _message(salvage: Salvage, text: str) -> str:
    """Put the places of the whole document into a message."""

    def place(match: re.Match[str]) -> str:
        kept = salvage.kept.get(match[1])
        if kept is None or int(match[2]) >= len(kept):
            return match[0]
        return f"{match[1]}[{kept[int(match[2])]}]"

    return _PLACE.sub(place, text)
