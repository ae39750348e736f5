"""The command ``bridgewire``: finds the command asked for and turns errors into exit codes."""

from __future__ import annotations

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
    "supply": "Voltage per cue, cold weather, and how late the show can be.",
    "advise": "What to change so that every cue fires, at what cost.",
    "plan": "Plan boxes, strips, cable and ways of a site at least cost.",
    "whatif": "Check a show with other values, side by side.",
    "reach": "How far can so many igniters be on this cable?",
    "trace": "One cue's currents and bridge temperatures over time.",
    "sheets": "Sheets for the field: cutting, wiring, pulses, meter, labels.",
    "readings": "Meter readings on site: in order, or what is wrong?",
    "bench": "Learn about your own igniters from trials on the bench.",
    "diff": "What changed between two revisions of a show.",
    "baseline": "Keep a file of known findings, so that only new ones fail.",
    "explain": "What a finding's code means and what to do instead.",
    "kits": "List, show and validate kit profiles.",
    "plugins": "List plugins: what they bring, and what is wrong with them.",
    "schema": "Print the JSON Schema of a kind of document.",
    "completion": "Print a script that lets the shell complete commands.",
}
"""Name of each command, and module of this package, with its short help."""


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
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNHEARD
    except Exception as error:
        return _failed(error)
    return result if isinstance(result, int) else CLEAN


def _say_click_error(error: click.ClickException) -> None:
    """Say what is wrong; file names and ids stand in it, and a hostile one must do no harm."""
    import io

    from bridgewire.report.plain_text import visible

    said = io.StringIO()
    error.show(file=said)
    lines = said.getvalue().removesuffix("\n").split("\n")
    click.echo("\n".join(map(visible, lines)), err=True)


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

        click.echo(f"bridgewire: {visible(str(error))}", err=True)
        return BAD_INPUT
    if isinstance(error, OSError) and isinstance(error.filename, (str, bytes)):
        from bridgewire.report.plain_text import visible

        name = os.fsdecode(error.filename)
        click.echo(visible(f"bridgewire: {name}: {error.strerror or error}"), err=True)
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
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")
    asked_by_shell = os.environ.get("_BRIDGEWIRE_COMPLETE")
    if asked_by_shell:
        from bridgewire.cli.completion import answer

        sys.exit(answer(asked_by_shell))
    sys.exit(run(sys.argv[1:]))
