"""Writes what a command has made: to standard output, or to a file, whole or not at all."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import click


def write_output(data: str | bytes, output: str | None, colour: bool | None = None) -> None:
    """Write text or bytes.

    Parameters
    ----------
    data : str or bytes
        A text is written in UTF-8 to a file.
    output : str or None
        Name of a file; standard output where None.
    colour : bool, optional
        Whether standard output gets the colours that the text has.

    Raises
    ------
    click.ClickException
        If the file cannot be written; what was there before is then still there.
    """
    if output is None:
        click.echo(data, nl=False, color=colour)
        return
    raw = data.encode("utf-8") if isinstance(data, str) else data
    target = Path(os.path.realpath(output))
    try:
        if target.exists() and not target.is_file():  # a pipe or a device
            target.write_bytes(raw)
            return
        _replace(target, raw)
    except OSError as error:
        raise click.ClickException(f"cannot write {output}: {error.strerror}") from None


def _replace(target: Path, raw: bytes) -> None:
    """Write beside the file first, so that nobody ever reads half of it."""
    new = target.with_name(f".{target.name}.{os.getpid()}.new")
    try:
        with open(new, "xb") as stream:
            stream.write(raw)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            shutil.copymode(target, new)
        os.replace(new, target)
    except BaseException:
        new.unlink(missing_ok=True)
        raise
