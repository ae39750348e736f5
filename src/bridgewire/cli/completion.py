"""``bridgewire completion``, and what answers the shell."""

from __future__ import annotations

import contextlib

import click

VARIABLE = "_BRIDGEWIRE_COMPLETE"
"""The shell asks by it, see the script."""
SHELLS = ("bash", "zsh", "fish")


@click.command("completion")
@click.argument("shell", type=click.Choice(SHELLS), metavar="SHELL")
def command(shell: str) -> None:
    """Print a script by which a shell completes commands, options, kits, rule codes and shows.

    SHELL is bash, zsh or fish. For bash, version 4.4 or later, add this line to ~/.bashrc:

        eval "$(bridgewire completion bash)"

    For zsh the same line with zsh goes to ~/.zshrc, below compinit. For fish:

        bridgewire completion fish > ~/.config/fish/completions/bridgewire.fish
    """
    from click.shell_completion import add_completion_class, get_completion_class

    from bridgewire.cli.completion_fish import Fish

    add_completion_class(Fish)
    kind = get_completion_class(shell)
    assert kind is not None
    # click's own `source` also looks at the version of the shell, which it starts for that.
    root = click.get_current_context().find_root().command
    script = kind(root, {}, "bridgewire", VARIABLE)
    click.echo(script.source_template % script.source_vars())


def answer(main: click.Command, instruction: str) -> int:
    """Answer the shell: print the candidates, or a script.

    Parameters
    ----------
    main : click.Command
        The whole command line.
    instruction : str
        Value of `VARIABLE`, for example ``bash_complete``.

    Returns
    -------
    int
        The exit code. A line that cannot be understood has no candidates.
    """
    from click.shell_completion import add_completion_class, shell_complete

    from bridgewire.cli.completion_fish import Fish

    add_completion_class(Fish)
    with contextlib.suppress(click.ClickException):
        return shell_complete(main, {}, "bridgewire", VARIABLE, instruction)
    return 0
