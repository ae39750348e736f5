"""Groups of commands: one that guesses what was meant, one that imports a command when it runs."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem


class GuessingGroup(click.Group):
    """A group that says what may have been meant by a name that is none of its commands."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; suggest one for a name that is none."""
        names = self.list_commands(ctx)
        if args and args[0] not in names and not args[0].startswith("-"):
            import difflib

            near = difflib.get_close_matches(args[0], names, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names)}"
            raise click.UsageError(f"there is no command {args[0]!r}; {hint}", ctx)
        return super().resolve_command(ctx, args)


class LazyGroup(GuessingGroup):
    """A group that knows its commands by name and short help only.

    Parameters
    ----------
    table : mapping of str to str
        Name of each command and its short help, in the order of the help.
    module : str
        Module of a command, without the command's own name: ``bridgewire.cli.``. A ``-`` in a
        name is a ``_`` in the module's. The module's ``command`` is the command.
    """

    def __init__(self, *args: Any, table: Mapping[str, str], module: str, **settings: Any) -> None:
        super().__init__(*args, **settings)
        self.table = table
        self.module = module

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of all commands, in the order of the help."""
        return list(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command."""
        if cmd_name not in self.table:
            return None
        found = import_module(self.module + cmd_name.replace("-", "_")).command
        assert isinstance(found, click.Command)
        return found

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Commands and options that begin so, without importing the commands."""
        from click.shell_completion import CompletionItem

        names = [
            CompletionItem(name, help=summary)
            for name, summary in self.table.items()
            if name.startswith(incomplete)
        ]
        return [*names, *click.Command.shell_complete(self, ctx, incomplete)]

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(self.table.items()))
