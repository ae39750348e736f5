"""Baseline files: TOML that people can read and compare line by line."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from bridgewire.documents.loader import load_document
from bridgewire.documents.problems import (
    DUPLICATE_KEY,
    FORMAT_NUMBER,
    MISSING_KEY,
    OUT_OF_RANGE,
    UNKNOWN_KEY,
    WRONG_TYPE,
    Problem,
    as_findings,
    closest,
    one_of,
    shown,
)
from bridgewire.documents.structure import structure
from bridgewire.errors import InputError
from bridgewire.report.baseline import Baseline, KnownFinding
from bridgewire.rules.base import NEVER_IGNORED

FORMAT = 1
_KEYS = ("format", "known")
_HEAD = """\
# Findings of our shows that are known. A check that is given this file fails only for others.
# Written by "bridgewire baseline create"; "bridgewire baseline prune" takes out what is mended.
"""
_ORDER = ("show", "code", "severity", "fingerprint", "count", "measured", "message")


def show_key(show: str, baseline: Path) -> str:
    """How a baseline file names a show: relative to its own folder, with ``/``.

    Parameters
    ----------
    show : str
        The show file as given, relative to the working folder.
    baseline : Path

    Examples
    --------
    >>> show_key("club/shows/proms.toml", Path("club/baseline.toml"))
    'shows/proms.toml'
    """
    here = os.path.abspath(show)
    try:
        return Path(os.path.relpath(here, os.path.dirname(os.path.abspath(baseline)))).as_posix()
    except ValueError:  # another drive
        return Path(here).as_posix()


def baseline_text(baseline: Baseline) -> str:
    """Write a baseline as TOML, the same for the same entries.

    Parameters
    ----------
    baseline : Baseline

    Returns
    -------
    str
        Sorted by show, code and fingerprint; one key a line, so that a change is a few lines of a
        comparison. Measured values have four significant digits.

    Examples
    --------
    >>> entry = KnownFinding("shows/proms.toml", "WIR009", "warning", "0f" * 16, "too short", 1.25)
    >>> print(baseline_text(Baseline((entry,))).split("\\n\\n", 1)[1], end="")
    [[known]]
    show = "shows/proms.toml"
    code = "WIR009"
    severity = "warning"
    fingerprint = "0f0f0f0f0f0f0f0f0f0f0f0f0f0f0f0f"
    measured = 1.25
    message = "too short"
    """
    blocks = [f"{_HEAD}format = {FORMAT}\n"]
    for entry in sorted(baseline.known, key=lambda k: (k.show, k.code, k.fingerprint)):
        lines = ["[[known]]"]
        for key in _ORDER:
            value = getattr(entry, key)
            if value is not None and (key, value) != ("count", 1):
                lines.append(f"{key} = {_value(value)}")
        blocks.append("\n".join(lines) + "\n")
    return "\n".join(blocks)


def _value(value: str | int | float) -> str:
    if isinstance(value, str):
        quoted = json.dumps(value, ensure_ascii=False)
        return "".join(c if c.isprintable() else _escaped(c) for c in quoted)
    return str(value) if isinstance(value, int) else f"{value:.4g}"


def _escaped(character: str) -> str:
    number = ord(character)
    if 0xD800 <= number < 0xE000:
        return "\ufffd"  # half of a character, which TOML cannot hold
    return f"\\u{number:04X}" if number < 0x10000 else f"\\U{number:08X}"


def read_baseline(path: Path) -> Baseline:
    """Read a baseline file.

    Parameters
    ----------
    path : Path
        A TOML file (YAML and JSON of the same keys are read as well).

    Raises
    ------
    InputError
        With every problem found, each with its place.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "baseline.toml")
    ...     _ = file.write_text("format = 1")
    ...     read_baseline(file)
    Baseline(known=())
    """
    document = load_document(path)
    problems: list[Problem] = []
    known = _entries(document.data, problems)
    if problems:
        raise InputError(as_findings(problems, document.spans, "baseline"))
    return Baseline(tuple(known))


def _entries(data: dict[str, Any], problems: list[Problem]) -> list[KnownFinding]:
    problems.extend(
        Problem(
            UNKNOWN_KEY,
            f"the key {key!r} is not known here",
            path=(key,),
            expected=one_of(_KEYS),
            got=repr(key),
            suggestion=closest(key, _KEYS),
            at_key=True,
        )
        for key in data
        if key not in _KEYS
    )
    _check_format(data, problems)
    listed = data.get("known", [])
    if not isinstance(listed, list):
        problems.append(
            Problem(
                WRONG_TYPE,
                f"this is {shown(listed)}, not a list of tables",
                path=("known",),
                expected="a list of tables: [[known]]",
                got=shown(listed),
            )
        )
        return []
    found: list[KnownFinding] = []
    seen: dict[tuple[str, str, str], int] = {}
    for i, raw in enumerate(listed):
        entry = structure(raw, KnownFinding, problems, ("known", i))
        if entry is not None:
            problems.extend(_wrong_in(entry, i, seen))
            found.append(entry)
    return found


def _check_format(data: dict[str, Any], problems: list[Problem]) -> None:
    if "format" not in data:
        problems.append(
            Problem(
                MISSING_KEY,
                'the key "format" is missing',
                expected=f"format = {FORMAT}",
                got="no such key",
            )
        )
        return
    number = data["format"]
    if isinstance(number, bool) or number != FORMAT:
        problems.append(
            Problem(
                FORMAT_NUMBER,
                "this format of baseline files is not one that this version reads",
                path=("format",),
                expected=f"format = {FORMAT}",
                got=shown(number),
            )
        )


def _wrong_in(entry: KnownFinding, i: int, seen: dict[tuple[str, str, str], int]) -> list[Problem]:
    """What is wrong with an entry that could be read."""
    wrong = []
    if entry.count < 1:
        wrong.append(
            Problem(
                OUT_OF_RANGE,
                f"{entry.count} is out of range",
                path=("known", i, "count"),
                expected="at least 1",
                got=str(entry.count),
            )
        )
    if entry.code in NEVER_IGNORED:
        wrong.append(
            Problem(
                OUT_OF_RANGE,
                f"findings {entry.code} cannot be known: with them the show was not checked in "
                "full, or not rightly",
                path=("known", i, "code"),
                expected="the code of a rule about the show",
                got=shown(entry.code),
                remedy="Take the entry out.",
            )
        )
    key = (entry.show, entry.code, entry.fingerprint)
    if key in seen:
        wrong.append(
            Problem(
                DUPLICATE_KEY,
                f"this finding is at known[{seen[key]}] already",
                path=("known", i, "fingerprint"),
                expected="each finding once; count says how many there are",
                got=shown(entry.fingerprint),
            )
        )
    seen.setdefault(key, i)
    return wrong
