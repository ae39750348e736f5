"""Drums of cable that a show lists: references to kits, and runs that name a drum."""

from __future__ import annotations

from bridgewire.circuit.catalogue import Catalogue, nearest
from bridgewire.circuit.problems import Problems
from bridgewire.model.show import Show


def check_drums(show: Show, catalogue: Catalogue, problems: Problems) -> None:
    """Note drums with the id of another (DOC010) or of a cable that no kit has (DOC011), and runs
    that name a drum that is not listed (DOC011) or holds other cable (DOC007).

    A show without drums may call the drum of a run whatever it likes.
    """
    listed: dict[str, int] = {}
    for i, drum in enumerate(show.drum):
        if drum.id in listed:
            problems.add(
                "DOC010",
                ("drum", i, "id"),
                f"drum {drum.id!r} is already at drum[{listed[drum.id]}]",
            )
            continue
        listed[drum.id] = i
        catalogue.cables.find(drum.cable, ("drum", i, "cable"), problems)
    if show.drum:
        _check_runs(show, catalogue, listed, problems)


def _check_runs(
    show: Show, catalogue: Catalogue, listed: dict[str, int], problems: Problems
) -> None:
    for i, run in enumerate(show.run):
        if run.drum is None:
            continue
        if run.drum not in listed:
            problems.add(
                "DOC011",
                ("run", i, "drum"),
                f"there is no drum {run.drum!r}",
                expected="the id of a [[drum]]",
                got=repr(run.drum),
                suggestion=nearest(run.drum, listed),
            )
            continue
        theirs = show.drum[listed[run.drum]].cable
        mine, held = catalogue.cables.full_id(run.cable), catalogue.cables.full_id(theirs)
        if mine is not None and held is not None and mine != held:
            problems.add(
                "DOC007",
                ("run", i, "drum"),
                f"drum {run.drum!r} holds {held}, but the run is {mine}",
                expected=f"a drum of {mine}",
                got=repr(run.drum),
            )
