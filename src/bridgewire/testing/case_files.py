"""Cases of rules as files: whole show documents under ``<folder>/<CODE>/``.

A ``fail_`` file starts with comments that say which findings it must give; a ``pass_`` file must
load and give none of its code::

    # expect: path=cue[0].pulse_s; text=some words of the message
    # expect: path=cable[1].ohm_per_m; document=kit:bench

Fields: ``path`` (required; empty for the whole document), ``text``, ``document`` (``show`` where
absent) and ``severity``. Each line is one finding that must be there.

The day of every case is `CASE_DAY`, so that no result hangs on the calendar.

A case of a rule that reads odds states how they are drawn; ``seed`` is 1 where absent::

    # odds: draws=2000; seed=1
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from itertools import takewhile
from os import PathLike
from pathlib import Path

from attrs import frozen

from bridgewire.api import LoadedShow, load_show
from bridgewire.diagnostics import Finding, format_path

_EXPECT = re.compile(r"#\s*expect:\s*(.*)")
_ODDS = re.compile(r"#\s*odds:\s*draws=(\d+)(?:;\s*seed=(\d+))?\s*")
_FIELDS = ("path", "text", "document", "severity")
_PREFIXES = ("fail_", "pass_")
CASE_DAY = datetime.date(2026, 7, 1)
"""The day on which every case is checked."""


@frozen
class Expected:
    """One finding that a case must give.

    Parameters
    ----------
    path : str
        As `bridgewire` writes it: ``cue[3].pulse_s``.
    text : str
        Words of the message.
    document : str
        ``show``, or ``kit:<id>``.
    severity : str
        ``info``, ``warning`` or ``error``; any where empty.

    Examples
    --------
    >>> print(Expected("cue[3].pulse_s", "is short", severity="error"))
    path=cue[3].pulse_s; text=is short; document=show; severity=error
    """

    path: str
    text: str = ""
    document: str = "show"
    severity: str = ""

    def __str__(self) -> str:
        stated = {n: getattr(self, n) for n in _FIELDS}
        return "; ".join(f"{n}={v}" for n, v in stated.items() if v or n == "path")

    def matches(self, finding: Finding) -> bool:
        """Tell whether a finding is the expected one.

        Parameters
        ----------
        finding : Finding
            What a rule has given.

        Returns
        -------
        bool
            True if path and document are the same, the message has the words, and the severity is
            the one stated, if one is.

        Examples
        --------
        >>> Expected("cue[0]", "late").matches(Finding("XAB001", "is 2 s late", path=("cue", 0)))
        True
        """
        return (
            format_path(finding.path) == self.path
            and self.text in finding.message
            and self.document == finding.document
            and self.severity in ("", finding.severity.word)
        )


@frozen
class RuleCase:
    """One case file.

    Parameters
    ----------
    code : str
        Of the rule: the name of the file's folder.
    file : Path
        A whole show; its name begins with ``fail_`` or ``pass_``.
    kit_dirs : tuple of Path
        Folders with the kit profiles that the show names.

    Examples
    --------
    >>> case = RuleCase("XAB001", Path("cases/XAB001/fail_before_dark.toml"))
    >>> case.name, case.should_fail
    ('XAB001/fail_before_dark', True)
    """

    code: str
    file: Path
    kit_dirs: tuple[Path, ...] = ()

    @property
    def name(self) -> str:
        """``WIR001/fail_no_cue``: of use as the id of a test."""
        return f"{self.code}/{self.file.stem}"

    @property
    def should_fail(self) -> bool:
        """Whether the rule has to find its fault."""
        return self.file.name.startswith("fail_")

    def expected(self) -> tuple[Expected, ...]:
        """Read what the comments at the head of the file ask for.

        Returns
        -------
        tuple of Expected
            In the file's order; empty where no comment begins with ``# expect:``.

        Raises
        ------
        OSError
            If the file cannot be read.
        ValueError
            If one of the comments cannot be understood.

        Examples
        --------
        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     file = Path(folder, "fail_late.toml")
        ...     _ = file.write_text("# expect: path=cue[0].time_s; text=is late\\n")
        ...     RuleCase("XAB001", file).expected()
        (Expected(path='cue[0].time_s', text='is late', document='show', severity=''),)
        """
        found: list[Expected] = []
        for line in self._comments():
            match = _EXPECT.match(line)
            if match is None:
                continue
            fields: dict[str, str] = {}
            for piece in match[1].split(";"):
                key, equals, value = piece.strip().partition("=")
                if not equals or key not in _FIELDS or key in fields:
                    raise ValueError(f"{self.name}: cannot read {piece.strip()!r}")
                fields[key] = value.strip()
            if "path" not in fields:
                raise ValueError(f"{self.name}: {line!r} states no path")
            found.append(Expected(**fields))
        return tuple(found)

    def odds(self) -> tuple[int, int] | None:
        """Read how the odds that the case needs are drawn.

        Returns
        -------
        (int, int) or None
            Draws and seed; None where no comment begins with ``# odds:``.

        Raises
        ------
        OSError
            If the file cannot be read.
        ValueError
            If the comment cannot be understood.

        Examples
        --------
        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     file = Path(folder, "pass_likely.toml")
        ...     _ = file.write_text("# odds: draws=2000\\n")
        ...     RuleCase("XAB001", file).odds()
        (2000, 1)
        """
        for line in self._comments():
            if line.lstrip("# ").startswith("odds:"):
                match = _ODDS.fullmatch(line)
                if match is None:
                    raise ValueError(f"{self.name}: cannot read {line!r}")
                return int(match[1]), int(match[2] or 1)
        return None

    def _comments(self) -> list[str]:
        """The comments at the head of the file."""
        # Cases of unreadable files are no UTF-8, but their first lines are plain ASCII.
        text = self.file.read_bytes().decode("utf-8", "replace")
        return list(takewhile(lambda line: line.startswith("#"), text.splitlines()))

    def load(self) -> LoadedShow:
        """Load the show.

        Returns
        -------
        LoadedShow
            As `bridgewire.load_show` gives it.

        Raises
        ------
        InputError
            If the show cannot be used.

        Examples
        --------
        >>> import tempfile
        >>> from bridgewire.testing import small_show
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     RuleCase("XAB001", small_show(folder, name="pass_one.toml")).load().show.title
        'Small show'
        """
        return load_show(self.file, kit_dirs=self.kit_dirs)


def rule_cases(
    folder: str | PathLike[str], *, kit_dirs: Iterable[str | PathLike[str]] = ()
) -> list[RuleCase]:
    """List the cases under a folder.

    Parameters
    ----------
    folder : path
        Holds a folder for each code, with ``fail_*`` and ``pass_*`` files.
    kit_dirs : iterable of path
        Folders with the kit profiles that the cases name.

    Returns
    -------
    list of RuleCase
        In order of code and file name.

    Raises
    ------
    ValueError
        If there is none: a test over no cases would pass.

    Examples
    --------
    >>> rule_cases("no such folder")
    Traceback (most recent call last):
        ...
    ValueError: no fail_ or pass_ files in the folders of 'no such folder'
    """
    dirs = tuple(Path(d) for d in kit_dirs)
    found = [
        RuleCase(file.parent.name, file, dirs)
        for file in sorted(Path(folder).glob("*/*.*"))
        if file.name.startswith(_PREFIXES)
    ]
    if not found:
        raise ValueError(f"no fail_ or pass_ files in the folders of {str(folder)!r}")
    return found
