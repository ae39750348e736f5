"""Where the report of ``bridgewire check`` goes: the main output, and any number of files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from bridgewire.cli.output import refuse_bad_targets, write_files, write_output

if TYPE_CHECKING:
    from bridgewire.cli.check_run import CheckRun
    from bridgewire.report.text import TextOptions


class Outputs:
    """Everything that one run of the check is to write.

    Parameters
    ----------
    form : str
        Format of the main output.
    output : str or None
        File of the main output; standard output where None.
    writes : sequence of str
        ``NAME=FILE`` for each further output.
    inputs : sequence of str
        Files that must not be written.

    Raises
    ------
    click.UsageError
        If an output cannot be meant so.
    """

    def __init__(
        self, form: str, output: str | None, writes: Sequence[str], *, inputs: Sequence[str] = ()
    ) -> None:
        self.form, self.output = form, output
        self.files = [_parsed(text) for text in writes]
        if output:
            self.files.insert(0, (form, output))
        refuse_bad_targets([file for _, file in self.files], inputs)

    @property
    def formats(self) -> tuple[str, ...]:
        """Names of the formats needed, each once."""
        return tuple(dict.fromkeys((self.form, *(name for name, _ in self.files))))

    def write(self, run: CheckRun, on_screen: TextOptions, in_files: TextOptions) -> None:
        """Make every text, then write all files, then what goes to standard output.

        Parameters
        ----------
        run : CheckRun
        on_screen, in_files : TextOptions
            For the format ``text``.

        Raises
        ------
        click.ClickException
            If a file cannot be written; then none is.
        InputError
            If a plugin's report writer fails; then nothing is written.
        """
        main = "" if self.output else run.written(self.form, on_screen)
        names = dict.fromkeys(name for name, _ in self.files)
        made = {name: run.written(name, in_files, problems=True) for name in names}
        write_files((file, made[name]) for name, file in self.files)
        if not self.output:
            write_output(main, None, on_screen.ink.colour)


def _parsed(text: str) -> tuple[str, str]:
    name, equals, file = text.partition("=")
    if not (name and equals and file):
        raise click.UsageError(
            f"--write {text}: expected NAME=FILE, for example --write sarif=check.sarif"
        )
    return name, file
