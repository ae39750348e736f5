"""Writes what a command has made: to standard output, or to files, all of them whole or none."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterable, Sequence
from pathlib import Path

import click
from attrs import define, field


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
    else:
        write_files([(output, data)])


def refuse_bad_targets(outputs: Sequence[str], inputs: Iterable[str] = ()) -> None:
    """Refuse output files that can be seen to be wrong before any work is done.

    Parameters
    ----------
    outputs : sequence of str
        Names of the files to be written.
    inputs : iterable of str
        Files that the command reads and must not replace.

    Raises
    ------
    click.UsageError
        If one is a folder, is named twice, or is an input.
    """
    taken = {_identity(name): name for name in inputs}
    read = set(taken)
    for name in outputs:
        if os.path.isdir(name):
            raise click.UsageError(f"cannot write {name}: it is a folder")
        if os.path.exists(name) and not os.path.isfile(name):  # a pipe or a device
            continue
        key = _identity(name)
        if key in read:
            raise click.UsageError(f"cannot write {name}: this command reads it")
        if key in taken:
            raise click.UsageError(f"two outputs go to one file: {taken[key]} and {name}")
        taken[key] = name


def _identity(name: str) -> object:
    """What tells whether two names are one file: links are followed, hard links too."""
    real = os.path.realpath(name)
    try:
        known = os.stat(real)
    except OSError:
        return real
    return (known.st_dev, known.st_ino)


def write_files(outputs: Iterable[tuple[str, str | bytes]]) -> None:
    """Write files: all of them, or none is replaced.

    Every file is first written beside its target, so that a full disk or a missing folder stops
    the work before anything is replaced. If the replacing itself fails half-way, what was there
    before is put back.

    Parameters
    ----------
    outputs : iterable of (str, str or bytes)
        Name and content of each file. Pipes and devices are written straight, before any file is
        replaced.

    Raises
    ------
    click.ClickException
        If one cannot be written.
    """
    files = [_File(n, name, _bytes(data)) for n, (name, data) in enumerate(outputs)]
    plain = [f for f in files if not f.special]
    try:
        for file in plain:
            file.stage()
        for file in files:
            if file.special:
                file.write_straight()
        for file in plain:
            file.replace()
    except BaseException as error:
        for file in reversed(plain):
            file.put_back()
        failed = next((f for f in files if f.failed), None)
        if isinstance(error, OSError) and failed is not None:
            text = f"cannot write {failed.name}: {error.strerror}"
            more = "; no file was replaced" if len(files) > 1 else ""
            raise click.ClickException(text + more) from None
        raise
    finally:
        for file in plain:
            file.clean()


def _bytes(data: str | bytes) -> bytes:
    # A name that is no UTF-8 must not keep the whole report from being written.
    return data.encode("utf-8", "backslashreplace") if isinstance(data, str) else data


@define
class _File:
    """One file on its way: beside its target, then in its place."""

    number: int
    name: str
    raw: bytes = field(repr=False)
    failed: bool = False
    replaced: bool = False

    @property
    def target(self) -> Path:
        return Path(os.path.realpath(self.name))

    @property
    def new(self) -> Path:
        return self._beside("new")

    @property
    def old(self) -> Path:
        return self._beside("old")

    def _beside(self, ending: str) -> Path:
        # Not made of the target's own name: that may already be as long as the disk allows.
        return self.target.with_name(f".bridgewire-{os.getpid()}-{self.number}.{ending}")

    @property
    def special(self) -> bool:
        """Whether it is a pipe or a device."""
        return self.target.exists() and not self.target.is_file()

    def stage(self) -> None:
        self.failed = True
        with open(self.new, "xb") as stream:
            stream.write(self.raw)
            stream.flush()
            os.fsync(stream.fileno())
        if self.target.exists():
            shutil.copymode(self.target, self.new)
            self._keep_old()
        self.failed = False

    def _keep_old(self) -> None:
        """Keep what is there under a second name; where the disk knows none, as a copy."""
        self.old.unlink(missing_ok=True)
        try:
            os.link(self.target, self.old)
        except OSError:
            shutil.copy2(self.target, self.old)

    def write_straight(self) -> None:
        self.failed = True
        self.target.write_bytes(self.raw)
        self.failed = False

    def replace(self) -> None:
        self.failed = True
        self.replaced = True
        os.replace(self.new, self.target)
        self.failed = False

    def put_back(self) -> None:
        if not self.replaced:
            return
        with contextlib.suppress(OSError):
            if self.old.exists():
                os.replace(self.old, self.target)
            elif not self.new.exists():  # it was put where nothing was before
                self.target.unlink(missing_ok=True)

    def clean(self) -> None:
        for rest in (self.new, self.old):
            with contextlib.suppress(OSError):
                rest.unlink(missing_ok=True)
