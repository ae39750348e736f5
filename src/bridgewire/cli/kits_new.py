"""``bridgewire kits new``."""

from __future__ import annotations

import shlex
import sys
from typing import TYPE_CHECKING

import click

from bridgewire.cli.terminal import terminal_width

if TYPE_CHECKING:
    from pathlib import Path

    from bridgewire.authoring.draft import Draft, Sheet


@click.command("new")
@click.option(
    "--answers",
    "answers",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Take the answers from a TOML, YAML or JSON file instead of asking.",
)
@click.option(
    "--resume",
    "resume",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Go on with answers that were kept when you stopped.",
)
@click.option(
    "--output",
    "output",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Where to write the profile; the kit's short name with .toml by default.",
)
@click.option("--force", is_flag=True, help="Replace the file if it is there.")
def new_command(answers: str | None, resume: str | None, output: str | None, force: bool) -> None:
    """Make a profile of your own kit from meter readings and labels.

    Asks one question at a time and does the arithmetic: voltage on known resistors to internal
    resistance and current limit, a cable's loop to ohms per metre, readings of igniters and
    contacts to bands. What you do not know is left out. When you stop early, your answers are kept
    in a file.
    """
    from pathlib import Path

    if output is not None and not force and Path(output).exists():
        raise click.UsageError(f"{output} is there already; use --force to replace it")
    if answers is not None and resume is not None:
        raise click.UsageError("--answers asks nothing and --resume goes on asking: take one")
    if answers is not None:
        from bridgewire.authoring.answers_file import profile_of_answers

        draft, text = profile_of_answers(Path(answers))
    else:
        draft, text = _interview(resume)
    target = Path(output if output is not None else f"{draft.head['id']}.toml")
    if not target.parent.is_dir():
        raise click.UsageError(f"there is no folder {target.parent}")
    _written(target, text, force)
    _report(draft, target)


def _interview(resume: str | None) -> tuple[Draft, str]:
    from pathlib import Path

    from bridgewire.authoring.answers_file import read_answers
    from bridgewire.authoring.interview import Interview, StoppedError

    def ask(prompt: str) -> str:
        typed: str = click.prompt(prompt, default="", show_default=False, prompt_suffix=": ")
        return typed

    def say(line: str) -> None:
        from bridgewire.report.plain_text import wrap

        indent = line[: len(line) - len(line.lstrip())]
        width = min(terminal_width(sys.stdout), 100)
        click.echo("\n".join(wrap(line.strip(), width, indent)) if line else "")

    known = {} if resume is None else read_answers(Path(resume), partial=True)[0]
    interview = Interview(ask, say, known)
    try:
        return interview.run()
    except (StoppedError, click.Abort):
        _keep(interview.so_far())
        raise click.Abort from None


def _keep(sheet: Sheet) -> None:
    """Keep what was answered before somebody stopped, in a file beside the profile to be."""
    from itertools import count
    from pathlib import Path

    from bridgewire.authoring.answers_file import answers_text
    from bridgewire.authoring.toml_text import FileThereError, write_new

    name = sheet["kit"][0].get("id")
    if name is None:
        return
    for number in count(1):
        file = Path(f"{name}-answers{'' if number == 1 else f'-{number}'}.toml")
        try:
            write_new(file, answers_text(sheet))
        except FileThereError:
            continue
        except OSError as error:
            click.echo(f"your answers cannot be kept: {error.strerror or error}", err=True)
            return
        click.echo(
            f"\nyour answers are kept in {file}; to go on:\n"
            f"  bridgewire kits new --resume {shlex.quote(str(file))}",
            err=True,
        )
        return


def _written(target: Path, text: str, force: bool) -> None:
    from bridgewire.authoring.toml_text import write_new

    try:
        write_new(target, text, replace=force)
    except OSError as error:
        reason = error.strerror or str(error)
        raise click.UsageError(f"{target} cannot be written: {reason}") from None


def _report(draft: Draft, target: Path) -> None:
    """Say what the readings mean and what the profile still lacks."""
    from bridgewire.authoring.validation import validate
    from bridgewire.kits.discovery import load_kit_file
    from bridgewire.report.kit_page import gaps_text
    from bridgewire.report.plain_text import visible, wrap

    width = min(terminal_width(sys.stdout), 110)
    lines = [f"wrote {visible(str(target))}"]
    for entry in draft.entries:
        for remark in entry.remarks:
            lines += wrap(visible(f"{entry.data['id']}: {remark}"), width, "  ", "    ")
    click.echo("\n".join([*lines, ""]))
    loaded = load_kit_file(target)
    found = validate(loaded)
    click.echo(gaps_text(loaded.kit, str(target), found.gaps, found.doubts, width), nl=False)
