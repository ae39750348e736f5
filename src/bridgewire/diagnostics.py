"""Findings: what a rule, a loader or the solver has to say, and where in which file.

A finding names a place by its *document path* (``cue[3].pulse_s``). The engine turns the path
into a file, line and column; code that makes findings never handles lines.
"""

from __future__ import annotations

import enum
from typing import TypeAlias

from attrs import field, frozen

DocPath: TypeAlias = tuple[str | int, ...]
"""A path in a document: keys and list indexes from the root, e.g. ``("cue", 3, "pulse_s")``."""


class Severity(enum.IntEnum):
    """How bad a finding is; larger is worse.

    Examples
    --------
    >>> Severity.ERROR > Severity.WARNING > Severity.INFO
    True
    """

    INFO = 1
    WARNING = 2
    ERROR = 3

    @property
    def word(self) -> str:
        """The word shown to a person: ``info``, ``warning`` or ``error``."""
        return self.name.lower()

    @classmethod
    def from_word(cls, word: str) -> Severity:
        """Find the severity that a word names.

        Parameters
        ----------
        word : str
            ``info``, ``warning`` or ``error``, in small or capital letters.

        Returns
        -------
        Severity
            Its `word` is the word in small letters.

        Raises
        ------
        ValueError
            If it is another word.

        Examples
        --------
        >>> Severity.from_word("warning")
        <Severity.WARNING: 2>
        """
        try:
            return cls[word.upper()]
        except KeyError:
            raise ValueError(f"not a severity: {word!r} (info, warning or error)") from None


@frozen
class Location:
    """A place in a file. Lines and columns count from 1; columns count characters."""

    file: str
    line: int
    column: int
    snippet: str = ""
    """The whole source line, without its end."""
    width: int = 1
    """How many characters from `column` belong to the place, at least 1."""

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@frozen
class Finding:
    """One thing found, with all that a person needs to act on it.

    Parameters
    ----------
    code : str
        Family letters and three digits: ``FIR001``.
    message : str
        What is wrong, in one sentence without a full stop.
    severity : Severity
        How bad it is.
    path : tuple of str and int
        Where in the document, keys and list indexes from its root: ``("cue", 3, "pulse_s")``.
        Empty for the whole document.
    document : str
        Which document the path is in: ``show``, ``kit:<id>``, or what a command was given in its
        place: ``bench``, ``site``, ``readings``, ``trials``, ``answers``, ``plugins``.
    measured, limit : float, optional
        What was computed or read, and what it should keep to, in `unit`; may be infinite.
    unit : str
        Of the two: ``A``, or for a multiple ``times`` and what of; empty for a count or a
        probability.
    remedy : str
        What to do about it, in words.
    subjects : tuple of str
        Ids of the cues, igniters and parts that it is about, cues first.
    expected, got : str
        What should stand there and what does, where something cannot be read.
    suggestion : str
        What may have been meant.
    location : Location, optional
        File, line and column; the engine and the loaders fill it in.

    Examples
    --------
    >>> Finding("XAB001", "the pulse is short", path=("cue", 3, "pulse_s"), remedy="lengthen it")
    <Finding XAB001 error at cue[3].pulse_s: 'the pulse is short'>
    """

    code: str
    message: str
    severity: Severity = Severity.ERROR
    path: DocPath = ()
    document: str = "show"
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    remedy: str = ""
    subjects: tuple[str, ...] = ()
    expected: str = ""
    got: str = ""
    suggestion: str = ""
    location: Location | None = field(default=None, eq=False)

    def __repr__(self) -> str:
        at = str(self.location) if self.location is not None else format_path(self.path)
        where = f" at {at}" if at else f" in {self.document}"
        said = self.message if len(self.message) <= 90 else f"{self.message[:89]}…"
        return f"<Finding {self.code} {self.severity.word}{where}: {said!r}>"


def format_path(path: DocPath) -> str:
    """Write a document path as a person would read it.

    >>> format_path(("cue", 3, "pulse_s"))
    'cue[3].pulse_s'
    """
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step}]"
        else:
            text += f".{step}" if text else step
    return text
