"""What the terminal can do: colour, width, and a progress bar for long work."""

from __future__ import annotations

import datetime
import os
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO

import click

from bridgewire.cli.numbers import Whole, number_option

if TYPE_CHECKING:
    from bridgewire.report.ink import Ink

PLAIN_WIDTH = 80
"""Columns where the output is no terminal, and the least that every table fits."""
_LONG_S = 0.5
"""Work that lasts longer gets a progress bar."""


def ink_for(colour: str, stream: TextIO) -> Ink:
    """Decide on colour.

    Parameters
    ----------
    colour : str
        ``always``, ``never`` or ``auto``: on a terminal, unless ``NO_COLOR`` is set or ``TERM``
        is ``dumb``.
    stream : text stream
    """
    from bridgewire.report.ink import Ink

    if colour == "auto":
        plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
        return Ink(stream.isatty() and not plain)
    return Ink(colour == "always")


def terminal_width(stream: TextIO) -> int:
    """Columns of the terminal, to which prose is wrapped; 80 where the stream is none."""
    if not stream.isatty():
        return PLAIN_WIDTH
    return max(40, shutil.get_terminal_size((PLAIN_WIDTH, 24)).columns)


def text_look(
    output: str | None, colour: str = "auto", width: int | None = None
) -> tuple[int, Ink]:
    """Columns and colour of a text that goes to a file or to standard output.

    Parameters
    ----------
    output : str or None
        Name of the file; standard output where None.
    colour : str
        As for `ink_for`; in a file ``auto`` is no colour.
    width : int, optional
        Columns that were asked for; the terminal's, or 80, where absent.
    """
    columns = width or (PLAIN_WIDTH if output else terminal_width(sys.stdout))
    return columns, ink_for("never" if output and colour == "auto" else colour, sys.stdout)


@contextmanager
def progress(label: str) -> Iterator[Callable[[int, int], None] | None]:
    """Show progress on standard error, only on a terminal and only for work that lasts.

    Of the label, which may be a show's title, 30 characters are shown, and none that a terminal
    could act on.

    Yields what to call with the number done and the number in all; None where nothing is shown.
    """
    if not sys.stderr.isatty():
        yield None
        return
    begun = time.monotonic()
    bar = None

    def step(done: int, total: int) -> None:
        nonlocal bar
        if bar is None:
            if time.monotonic() - begun < _LONG_S:
                return
            from bridgewire.report.plain_text import visible

            bar = click.progressbar(length=total, label=visible(label)[:30], file=sys.stderr)
            bar.__enter__()
        if total != bar.length:
            bar.length = total
        bar.update(max(0, done - bar.pos))

    try:
        yield step
    finally:
        if bar is not None:
            bar.__exit__(None, None, None)


kit_dir_option = click.option(
    "--kit-dir",
    "kit_dirs",
    multiple=True,
    type=click.Path(exists=True, file_okay=False),
    metavar="DIR",
    help="A further folder with kit profiles. May be given several times.",
)


def _day(
    context: click.Context, option: click.Parameter, value: str | None
) -> datetime.date | None:
    if value is None:
        return None
    try:
        if len(value) != len("2026-12-31"):
            raise ValueError(value)
        return datetime.date.fromisoformat(value)
    except ValueError:
        raise click.BadParameter(
            f"{value!r} is no day; expected year-month-day, such as 2026-12-31", context, option
        ) from None


today_option = click.option(
    "--today",
    metavar="DATE",
    callback=_day,
    help="Check as if on this day, 2026-12-31 for example: ignores with a last day hold or have "
    "expired. The computer's day where absent; state it for runs that must give the same again.",
)
allow_broken_option = click.option(
    "--allow-broken-plugins",
    "allow_broken",
    is_flag=True,
    help="Findings about plugins that are broken are warnings, not errors.",
)
colour_option = click.option(
    "--colour",
    "--color",
    "colour",
    type=click.Choice(["auto", "always", "never"]),
    default="auto",
    show_default=True,
    help="Colour; auto means on a terminal, unless NO_COLOR is set.",
)


output_option = click.option(
    "--output",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Write the report to this file.",
)


width_option = number_option(
    "--width",
    type=Whole(min=PLAIN_WIDTH, max=400),
    help="Columns of the text; the terminal's, or 80, where absent. Tables take 80 in a narrower "
    "terminal too.",
)
