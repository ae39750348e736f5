"""A show from the command line, ready to be tried with changes."""

from __future__ import annotations

from bridgewire.api import LoadedShow
from bridgewire.cli.loaded_show import loaded_show, place_of
from bridgewire.remedies.case import Case


def loaded_case(show: str, kit_dirs: tuple[str, ...]) -> tuple[LoadedShow, Case]:
    """Read a show; what is wrong with plugins is said on standard error.

    Raises
    ------
    InputError
        If the show cannot be used.
    """
    loaded = loaded_show(show, kit_dirs)
    return loaded, case_of(loaded)


def case_of(loaded: LoadedShow) -> Case:
    """The case of a show that has been read."""
    layout = loaded.layout
    return Case(
        loaded.show, loaded.document.data, layout.catalogue, layout.models, loaded.plugins.rules
    )


def known_cues(case: Case, cue_ids: tuple[str, ...]) -> tuple[str, ...]:
    """Check the cues that ``--cue`` names.

    Raises
    ------
    click.UsageError
        If one is not in the show, with what may have been meant.
    """
    for cue_id in cue_ids:
        place_of("cue", cue_id, (c.id for c in case.show.cue), "the show")
    return cue_ids
