"""Errors that bridgewire raises on purpose."""

from __future__ import annotations

from bridgewire.diagnostics import Finding


class BridgewireError(Exception):
    """Base of all errors that bridgewire raises on purpose."""


class InputError(BridgewireError):
    """Documents could not be used. Carries every problem found, not only the first.

    Parameters
    ----------
    findings : tuple of Finding
        At least one; each has a location where one is known.

    Examples
    --------
    >>> try:
    ...     raise InputError((Finding("DOC001", "the file cannot be read"),))
    ... except InputError as error:
    ...     print(error, [f.code for f in error.findings])
    1 problem in the input ['DOC001']
    """

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        self.findings = findings
        count = len(findings)
        super().__init__(f"{count} problem{'s' if count != 1 else ''} in the input")


class ModelRangeError(BridgewireError, ValueError):
    """A physics function was called outside its stated range of validity."""
