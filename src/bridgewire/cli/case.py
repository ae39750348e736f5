"""A show from the command line, ready to be tried with changes."""

from __future__ import annotations

import sys

import click

from bridgewire.api import LoadedShow, load_show
from bridgewire.cli.terminal import terminal_width
from bridgewire.remedies.case import Case


def loaded_case(show: str, kit_dirs: tuple[str, ...]) -> tuple[LoadedShow, Case]:
    """Read a show; what is wrong with plugins is said on standard error.

    Raises
    ------
    InputError
        If the show cannot be used.
    """
    loaded = load_show(show, kit_dirs=kit_dirs)
    if loaded.plugins.findings:
        from bridgewire.report.problems import problems_text

        text = problems_text(loaded.plugins.findings, terminal_width(sys.stderr))
        click.echo(text, nl=False, err=True)
    return loaded, case_of(loaded)


def case_of(loaded: LoadedShow) -> Case:
    """The case of a show that has been read."""
    layout = loaded.layout
    return Case(
        loaded.show, loaded.document.data, layout.catalogue, layout.models, loaded.plugins.rules
    )


def known_cues(case: Case, cue_ids: tuple[str, ...], option: str = "--cue") -> tuple[str, ...]:
    """Check ids of cues.

    Raises
    ------
    click.UsageError
        If one is not in the show, with what may have been meant.
    """
    names = [c.id for c in case.show.cue]
    for cue_id in cue_ids:
        if cue_id not in names:
            import difflib

            near = difflib.get_close_matches(cue_id, names, n=1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise click.UsageError(f"{option}: there is no cue {cue_id!r}{hint}")
    return cue_ids
