"""Reads the show that a command line names, and finds cues and boxes in it by their ids."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import click

from bridgewire.cli.terminal import terminal_width

if TYPE_CHECKING:
    from bridgewire.api import LoadedShow
    from bridgewire.diagnostics import Finding

_SAID = "bridgewire.plugins_said"
"""Where the context of a command keeps what was said."""


def loaded_show(show: str, kit_dirs: Sequence[str]) -> LoadedShow:
    """Read a show; what is wrong with plugins is said on standard error.

    Raises
    ------
    InputError
        If the show cannot be used.
    """
    from bridgewire.api import load_show

    loaded = load_show(show, kit_dirs=kit_dirs)
    say_of_plugins(loaded.plugins.findings)
    return loaded


def say_of_plugins(findings: Sequence[Finding]) -> None:
    """Say on standard error what is wrong with plugins, for a command that goes on without them.

    A command that reads several files says it once.
    """
    context = click.get_current_context(silent=True)
    said = {} if context is None else context.meta
    if findings and said.get(_SAID) != tuple(findings):
        said[_SAID] = tuple(findings)
        from bridgewire.report.problems import plugin_problems_text

        text = plugin_problems_text(findings, terminal_width(sys.stderr))
        click.echo(text, nl=False, err=True)


def place_of(what: str, name: str, names: Iterable[str], where: str) -> int:
    """Number of the item with a name.

    Parameters
    ----------
    what : str
        Sort of the item: ``cue``, ``box``.
    name : str
        As it was typed.
    names : iterable of str
        Those that there are.
    where : str
        What has them, for the message.

    Raises
    ------
    click.UsageError
        If there is none, with what may have been meant.

    Examples
    --------
    >>> place_of("cue", "lances", ["comets", "lances"], "show.toml")
    1
    """
    known = list(names)
    if name in known:
        return known.index(name)
    from bridgewire.documents.problems import closest

    guess = closest(name, known)
    hint = f"; did you mean {guess!r}?" if guess else ""
    raise click.UsageError(f"there is no {what} {name!r} in {where}{hint}")
