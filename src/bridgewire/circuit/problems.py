"""Collects what is wrong with a show's wiring."""

from __future__ import annotations

from bridgewire.diagnostics import DocPath, Finding


class Problems:
    """A growing list of findings, each with its path in the show document."""

    def __init__(self) -> None:
        self.found: list[Finding] = []

    def add(
        self,
        code: str,
        path: DocPath,
        message: str,
        *,
        expected: str = "",
        got: str = "",
        suggestion: str = "",
    ) -> None:
        """Note a problem."""
        self.found.append(
            Finding(code, message, path=path, expected=expected, got=got, suggestion=suggestion)
        )
