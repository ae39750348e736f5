"""What a test of somebody's own work has found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NoReturn

from attrs import frozen

ProblemKind = Literal["document", "schema", "gap", "doubt", "source", "rule"]


@frozen
class Problem:
    """One thing that is wrong with a kit profile.

    Parameters
    ----------
    file : str
        The profile; for ``document`` with line and column, where they are known.
    kind : str
        ``document``: it cannot be read; ``schema``: the JSON Schema refuses it; ``gap``: a value
        is not stated; ``doubt``: a value is hardly right; ``source``: nobody can tell where a
        value comes from; ``rule``: a rule cannot run, or a verdict stays unknown.
    place : str
        Entry and key: ``cable reel: ohm_per_m``. For ``document`` and ``schema`` the document path.
    message : str
        What is wrong there, without the place.

    Examples
    --------
    >>> print(Problem("club.toml", "gap", "cable reel: ohm_per_m", "is not stated"))
    club.toml: cable reel: ohm_per_m: is not stated [gap]
    """

    file: str
    kind: ProblemKind
    place: str
    message: str

    def __str__(self) -> str:
        """Write it on one line.

        >>> str(Problem("club.toml", "doubt", "cable reel: ohm_per_m", "is less than copper has"))
        'club.toml: cable reel: ohm_per_m: is less than copper has [doubt]'
        """
        place = f"{self.place}: " if self.place else ""
        return f"{self.file}: {place}{self.message} [{self.kind}]"


def fail(headline: str, lines: Sequence[object] = ()) -> NoReturn:
    """Raise ``AssertionError`` with a headline and a line for each thing found."""
    __tracebackhide__ = True
    raise AssertionError("\n".join([headline, *(f"  {line}" for line in lines)]))
