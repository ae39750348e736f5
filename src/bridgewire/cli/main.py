"""The command ``bridgewire``: finds the command asked for and turns errors into exit codes."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Sequence

import click

from bridgewire import __version__
from bridgewire.cli.lazy import LazyGroup

CLEAN, BAD_INPUT, INTERNAL, STOPPED, UNHEARD = 0, 2, 3, 130, 141
"""Exit codes: nothing at or above the chosen severity (1: findings); bad input or usage; a fault
of bridgewire itself; stopped by the user; whoever read the output went away before its end."""

COMMANDS = {
    "check": "Check shows: will every igniter light, when, with what margin?",
    "odds": "How likely every igniter lights; what to measure to be surer.",
    "supply": "Do the batteries last? Voltage per cue, cold, a late start.",
    "advise": "What to change so that every cue fires, at what cost.",
    "plan": "Plan boxes, strips, cable and ways of a site at least cost.",
    "whatif": "Check a show with other values, side by side.",
    "reach": "How far can so many igniters be on this cable?",
    "trace": "Why a cue lights as it does: its currents over time.",
    "sheets": "Sheets for the field: cutting, wiring, pulses, meter, labels.",
    "readings": "Meter readings on site: in order, or what is wrong?",
    "bench": "Learn about your own igniters from trials on the bench.",
    "diff": "What changed between two revisions of a show.",
    "baseline": "Keep a file of known findings, so that only new ones fail.",
    "explain": "What a finding's code means and what to do instead.",
    "kits": "Kit profiles: list, show, validate, compare, or make your own.",
    "plugins": "List plugins: what they bring, and what is wrong with them.",
    "schema": "For editors and programs: the JSON Schema of a kind of document.",
    "completion": "Print a script that lets the shell complete commands.",
}
"""Name of each command, and module of this package, with its short help."""
_OUTPUT_FAILS = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO)
"""Errors of writing; without a file's name it is standard output that cannot be written."""


@click.group(
    cls=LazyGroup,
    table=COMMANDS,
    module="bridgewire.cli.",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Exit codes: 0 clean, 1 findings at or above the chosen severity, 2 bad input or "
    "usage, 3 internal error. A verdict is computed, never proof: keep people clear, and measure "
    "on site.",
)
@click.version_option(__version__, prog_name="bridgewire")
def main() -> None:
    """Tells before show day whether every electrically fired igniter will light.

    Reads a show (boxes, cables, strips, igniters, cues) and the kit profiles it uses, and follows
    every cue through its pulse. It only computes; it fires nothing.
    """


def run(arguments: Sequence[str]) -> int:
    """Run a command line.

    Parameters
    ----------
    arguments : sequence of str
        Without the program's name.

    Returns
    -------
    int
        The exit code.
    """
    try:
        result = main.main(list(arguments), prog_name="bridgewire", standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as error:
        _say_click_error(error)
        return BAD_INPUT
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped", err=True)
        return STOPPED
    except (BrokenPipeError, SystemExit):
        # click ends the process when the reader of the output has gone; say nothing more.
        _drop_output()
        return UNHEARD
    except Exception as error:
        return _failed(error)
    return result if isinstance(result, int) else CLEAN


def _drop_output() -> None:
    """Send what standard output still holds nowhere, so that the end of the process is quiet."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _say_click_error(error: click.ClickException) -> None:
    """Say what is wrong; file names and ids stand in it, and a hostile one must do no harm."""
    import io

    from bridgewire.report.plain_text import visible

    said = io.StringIO()
    error.show(file=said)
    for line in said.getvalue().removesuffix("\n").split("\n"):
        _say(visible(line))


def _say(line: str) -> None:
    """Say a line on standard error; on a terminal it is broken between words."""
    if sys.stderr.isatty():
        from bridgewire.cli.terminal import terminal_width
        from bridgewire.report.plain_text import columns, wrap

        width = terminal_width(sys.stderr)
        if columns(line) > width:
            line = "\n".join(wrap(line, width))
    click.echo(line, err=True)


def _failed(error: Exception) -> int:
    """Say what went wrong: bad input in full, a fault of bridgewire in one line."""
    from bridgewire.errors import BridgewireError, InputError

    if isinstance(error, InputError):
        from bridgewire.cli.terminal import ink_for, terminal_width
        from bridgewire.report.problems import problems_text

        ink = ink_for("auto", sys.stderr)
        text = problems_text(error.findings, terminal_width(sys.stderr), ink)
        click.echo(text, nl=False, err=True, color=ink.colour)
        return BAD_INPUT
    if isinstance(error, BridgewireError):
        from bridgewire.report.plain_text import visible

        _say(f"bridgewire: {visible(str(error))}")
        return BAD_INPUT
    if isinstance(error, OSError) and isinstance(error.filename, (str, bytes)):
        from bridgewire.report.plain_text import visible

        name = os.fsdecode(error.filename)
        _say(visible(f"bridgewire: {name}: {error.strerror or error}"))
        return BAD_INPUT
    if isinstance(error, OSError) and error.errno in _OUTPUT_FAILS:
        _drop_output()
        _say(f"bridgewire: the output cannot be written: {error.strerror}")
        return BAD_INPUT
    if os.environ.get("BRIDGEWIRE_DEBUG") == "1":
        import traceback

        traceback.print_exception(error)
    from bridgewire.report.plain_text import visible

    click.echo(
        f"bridgewire: internal error: {type(error).__name__}: {visible(str(error))[:300]}\n"
        "This is a fault of bridgewire; nothing it has printed should be relied on. Run again "
        "with BRIDGEWIRE_DEBUG=1 and report it.",
        err=True,
    )
    return INTERNAL


def entry() -> None:
    """Entry point of the installed command."""
    # Where a stream is closed, as in some jobs without a terminal, Python has None in its place.
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")
    asked_by_shell = os.environ.get("_BRIDGEWIRE_COMPLETE")
    if asked_by_shell:
        from bridgewire.cli.completion import answer

        sys.exit(answer(main, asked_by_shell))
    sys.exit(run(sys.argv[1:]))
