"""Every command, run in this process on given files, with what it wrote and what it reached for."""

from __future__ import annotations

import contextlib
import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
from attrs import frozen

from bridgewire.cli.main import main, run
from tests.security.hostile import Files

ATTEMPTS: list[str] = []
_watching = False
_REACHES = ("socket.connect", "socket.sendto", "socket.sendmsg", "socket.getaddrinfo",
            "socket.gethostbyname", "socket.gethostbyaddr", "urllib.Request", "http.client.",
            "ftplib.", "smtplib.", "telnetlib.", "poplib.", "imaplib.", "nntplib.",
            "webbrowser.")  # fmt: skip


class NetworkError(Exception):
    """Something reached for the network."""


def _audit(event: str, arguments: tuple[Any, ...]) -> None:
    if not _watching or not event.startswith(_REACHES):
        return
    # Processes that work together talk over a socket in the file system.
    if event == "socket.connect" and isinstance(arguments[1], (str, bytes)):
        return
    ATTEMPTS.append(f"{event} {arguments[1:]!r}"[:300])
    raise NetworkError(event)


sys.addaudithook(_audit)


@contextlib.contextmanager
def no_network() -> Iterator[list[str]]:
    """Refuse and list whatever reaches for the network."""
    global _watching
    ATTEMPTS.clear()
    _watching = True
    try:
        yield ATTEMPTS
    finally:
        _watching = False


@frozen
class Ran:
    """One command line and what came of it."""

    name: str
    arguments: tuple[str, ...]
    code: int
    out: str
    err: str
    files: dict[str, bytes]
    attempts: tuple[str, ...]


def command_lines(f: Files) -> list[tuple[str, ...]]:
    """A command line, or several, for every command, with every kind of output."""
    kits = ("--kit-dir", f.kits)
    o = str(f.folder / "out")
    show = (f.show, *kits)
    lines: list[tuple[str, ...]] = [
        *(
            ("check", *show, f.troubles, "--format", form, "--output", f"{o}.check.{form}")
            for form in ("html", "sarif", "junit", "github-annotations", "gitlab-code-quality",
                         "json-lines", "json")
        ),
        ("check", *show, f.troubles, "--verbose", "--all"),
        ("check", *show, "--swap", f"{f.kit_id}=generic"),
        ("odds", *show, "--draws", "200", "--workers", "1", "--bands", f"{o}.bands.svg"),
        ("odds", *show, "--draws", "200", "--workers", "1", "--format", "json", "--cue", f.cue,
         "--tornado", f"{o}.tornado.svg"),
        ("supply", *show, "--verbose", "--plot", f"{o}.supply.svg"),
        ("supply", *show, "--format", "csv", "--output", f"{o}.supply.csv"),
        ("supply", *show, "--format", "json"),
        ("advise", f.short, *kits, "--most", "1"),
        ("advise", f.short, *kits, "--most", "1", "--apply", "1", "--to", f"{o}.advised.toml",
         "--yes", "--format", "json"),
        *(
            ("whatif", *show, "--set", "site.ambient_C=-5,5", "--format", form, "--output",
             f"{o}.whatif.{form}")
            for form in ("text", "csv", "json")
        ),
        *(
            ("reach", f.kit_id, *kits, "--box", f.box, "--class", f.igniter_class, "--cable",
             f.cable, "--count", "1", "--longest-m", "40", "--format", form,
             "--output", f"{o}.reach.{form}")
            for form in ("text", "csv", "json")
        ),
        ("reach", f.kit_id, *kits, "--box", f.box, "--class", f.igniter_class, "--cable",
         f.cable, "--count", "1", "--longest-m", "40", "--plot", f"{o}.reach.svg"),
        ("trace", f.show, f.cue, *kits, "--format", "csv", "--output",
         f"{o}.trace.csv", "--plot", f"{o}.trace.svg"),
        ("sheets", *show, "--folder", f"{o}.sheets", "--format", "all", "--seconds", "1"),
        ("readings", *show, "--template", "--output", f"{o}.readings.csv"),
        ("readings", *show, "--template", "--delimiter", "semicolon", "--output",
         f"{o}.readings2.csv"),
        ("readings", f.show, f"{o}.readings.csv", *kits, "--verbose"),
        ("readings", f.show, f"{o}.readings2.csv", *kits, "--format", "json"),
        ("bench", "check", f.record, *kits),
        ("bench", "fit", f.record, *kits, "--draws", "200", "--effort", "quick", "--output-kit",
         f.kits, "--id", "fitted", "--force"),
        ("bench", "fit", f.record, *kits, "--draws", "200", "--effort", "quick", "--format",
         "json"),
        ("bench", "next", f.record, *kits, "--trial", f.trial, "--igniter", f.igniter,
         "--reliability", "0.99", "--fit-draws", "200", "--draws",
         "200", "--effort", "quick", "--write", f"{o}.next.toml", "--form", f"{o}.next.csv"),
        ("bench", "predict", f.show, "--record", f.record, *kits, "--draws", "200",
         "--fit-draws", "200", "--effort", "quick"),
        ("bench", "sensitivity", f.trials, "--plot", f"{o}.curve.svg"),
        ("bench", "sensitivity", f.trials, "--format", "json"),
        *(
            ("diff", f.show, f.troubles, *kits, "--format", form, "--output", f"{o}.diff.{form}")
            for form in ("text", "markdown", "json")
        ),
        ("baseline", "create", f.troubles, *kits, "--baseline", f.baseline),
        ("check", f.troubles, *kits, "--baseline", f.baseline),
        ("baseline", "prune", f.troubles, *kits, "--baseline", f.baseline),
        ("explain", "FIR001"),
        ("kits", "list", *kits),
        ("kits", "show", f.kit_id, *kits),
        ("kits", "validate", *(str(p) for p in sorted(Path(f.kits).glob("*.toml")) or [
            Path(__file__).parents[2] / "profiles" / "harrowmere.toml"])),
        ("kits", "compare", f.kit_id, "generic", *kits),
        ("kits", "new", "--answers", f.answers, "--output", f"{o}.new.toml"),
        ("plan", f.site, *kits, "--seconds", "5", "--workers", "1", "--to", f"{o}.plan.toml",
         "--force"),
        ("plan", f.site, *kits, "--seconds", "5", "--workers", "1", "--format", "json"),
        ("plugins",),
        ("schema", "show"),
        ("completion", "bash"),
        ("check", f"{f.folder}/none\x1b[31m\u202e.toml"),
        ("trace", f.show, "none\x1b[31m\u202e", *kits),
    ]  # fmt: skip
    known = every_command()
    return [line for line in lines if command_of(line, known) in known]


def every_command() -> set[str]:
    """Names of all commands, those in groups with the group's name before."""
    found = set()
    context = click.Context(main)
    for name in main.list_commands(context):
        command = main.get_command(context, name)
        if isinstance(command, click.Group):
            found |= {f"{name} {inner}" for inner in command.list_commands(context)}
        else:
            found.add(name)
    return found


def command_of(line: tuple[str, ...], known: set[str]) -> str:
    """The command that a line runs."""
    both = " ".join(line[:2])
    return both if both in known else line[0]


def run_all(files: Files) -> list[Ran]:
    """Run every command line in order."""
    return [_run(line, files) for line in command_lines(files)]


def _run(line: tuple[str, ...], files: Files) -> Ran:
    before = {p: p.stat().st_mtime_ns for p in files.folder.rglob("*") if p.is_file()}
    out, err = io.StringIO(), io.StringIO()
    with no_network() as attempts, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(line)
    written = {
        str(p.relative_to(files.folder)): p.read_bytes()
        for p in sorted(files.folder.rglob("*"))
        if p.is_file() and before.get(p) != p.stat().st_mtime_ns
    }
    known = every_command()
    return Ran(
        command_of(line, known), line, code, out.getvalue(), err.getvalue(), written,
        tuple(attempts),
    )  # fmt: skip
