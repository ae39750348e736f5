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
    """How bad a finding is; larger is worse."""

    INFO = 1
    WARNING = 2
    ERROR = 3

    @property
    def word(self) -> str:
        """The word shown to a person: ``info``, ``warning`` or ``error``."""
        return self.name.lower()

    @classmethod
    def from_word(cls, word: str) -> Severity:
        """Return the severity for a word; ``ValueError`` for any other text.

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
    """One thing found, with all that a person needs to act on it."""

    code: str
    """Family letters and three digits, e.g. ``FIR001``."""
    message: str
    severity: Severity = Severity.ERROR
    path: DocPath = ()
    """Where in the document; empty for the whole document."""
    document: str = "show"
    """Which document the path is in: ``show``, or ``kit:<id>``."""
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    remedy: str = ""
    """What to do about it, in words."""
    subjects: tuple[str, ...] = ()
    """Ids of the cues, igniters and parts that the finding is about."""
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
