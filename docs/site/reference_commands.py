"""Pages of the commands, from the commands themselves: options, defaults, exit codes."""

from __future__ import annotations

import inspect
from collections.abc import Iterator

import click
from markdown_text import cell, table

from bridgewire.cli.main import BAD_INPUT, CLEAN, INTERNAL, STOPPED, UNHEARD, main

FOLDER = "reference/commands/"
EXIT_CODES = {
    CLEAN: "Nothing at or above the severity asked for (`--fail-on`).",
    1: "Findings at or above it; or what a command's own page says.",
    BAD_INPUT: "A file or an option that cannot be used. Every problem is shown with its place.",
    INTERNAL: "A fault of bridgewire itself. Nothing that it has printed should be relied on.",
    STOPPED: "Stopped by the user.",
    UNHEARD: "Whoever read the output went away before its end.",
}


def command_pages() -> dict[str, tuple[str, str]]:
    """Title and text by address; the group itself is the first."""
    context = click.Context(main, info_name="bridgewire", **main.context_settings)
    pages = {f"{FOLDER}index.md": ("All commands", _overview(context))}
    for name in main.list_commands(context):
        command = main.get_command(context, name)
        assert command is not None
        parts = list(_command(command, ("bridgewire", name), context, 1))
        pages[f"{FOLDER}{name}.md"] = (name, "\n\n".join(parts) + "\n")
    return pages


def _overview(context: click.Context) -> str:
    rows = []
    for name in main.list_commands(context):
        command = main.get_command(context, name)
        assert command is not None
        rows.append((f"[`{name}`]({name}.md)", cell(command.get_short_help_str(200))))
        if isinstance(command, click.Group):
            inner = click.Context(command, info_name=name, parent=context)
            for below in command.list_commands(inner):
                short = command.get_command(inner, below)
                assert short is not None
                link = f"[`{name} {below}`]({name}.md#bridgewire-{name}-{below})"
                rows.append((link, cell(short.get_short_help_str(200))))
    parts = [
        "# Commands",
        "Written from the commands themselves; `bridgewire COMMAND --help` says the same.",
        _prose(main.help or ""),
        table(("Command", "What it does"), rows),
        *_options(main, context),
        "## Exit codes",
        table(("Code", "When"), [(f"`{code}`", text) for code, text in EXIT_CODES.items()]),
        "A verdict is computed, never proof: keep people clear, and measure on site.",
    ]
    return "\n\n".join(parts) + "\n"


def _command(
    command: click.Command, names: tuple[str, ...], parent: click.Context, level: int
) -> Iterator[str]:
    context = click.Context(command, info_name=names[-1], parent=parent)
    yield f"{'#' * level} {' '.join(names)}"
    pieces = " ".join(command.collect_usage_pieces(context))
    yield f"```text\n{' '.join(names)} {pieces}\n```"
    yield _prose(command.help or "")
    yield from _options(command, context)
    yield from _ending(command)
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            assert below is not None
            yield from _command(below, (*names, name), context, level + 1)


def _options(command: click.Command, context: click.Context) -> Iterator[str]:
    arguments = [p for p in command.get_params(context) if isinstance(p, click.Argument)]
    if arguments:
        rows = [
            (
                f"`{a.make_metavar(context)}`",
                "required" if a.required else "may be left out",
                _kind(a.type),
            )
            for a in arguments
        ]
        yield table(("Argument", "", "What it takes"), rows)
    options = [p for p in command.get_params(context) if isinstance(p, click.Option)]
    rows = [
        (
            _names(o, context),
            cell(o.help or ""),
            _kind(o.type) if not o.is_flag else "",
            _default(o),
        )
        for o in options
        if not o.hidden
    ]
    yield table(("Option", "What it does", "Takes", "Where absent"), rows)


def _names(option: click.Option, context: click.Context) -> str:
    value = "" if option.is_flag or option.count else f" {option.make_metavar(context)}"
    names = [*option.opts, *option.secondary_opts]
    return ", ".join(f"`{name}{value}`".replace("|", "\\|") for name in names)


def _kind(kind: click.ParamType) -> str:
    """What values a parameter takes."""
    if isinstance(kind, click.Choice):
        return ", ".join(f"`{c}`" for c in kind.choices)
    if isinstance(kind, click.Path):
        if not kind.file_okay:
            return "folder"
        return "file or folder" if kind.dir_okay else "file"
    return {"text": "text", "integer": "whole number", "float": "number"}.get(kind.name, kind.name)


def _default(option: click.Option) -> str:
    if option.is_flag or option.count or option.multiple:
        return ""
    value = option.to_info_dict().get("default")
    if option.required:
        return "required"
    return "" if value is None or callable(value) or "UNSET" in str(value) else f"`{value}`"


def _prose(text: str) -> str:
    """A help text: what click keeps as it stands (after ``\\b``) becomes a block."""
    parts = []
    for piece in inspect.cleandoc(text.partition("\f")[0]).split("\n\n"):
        if piece.startswith("\b\n"):
            parts.append(f"```text\n{piece[2:]}\n```")
        elif piece.strip():
            parts.append(" ".join(piece.replace("<", "&lt;").split()))
    return "\n\n".join(parts)


def _ending(command: click.Command) -> Iterator[str]:
    if command.epilog:
        yield _prose(command.epilog)
