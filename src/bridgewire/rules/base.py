"""What a rule is."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from bridgewire.diagnostics import DocPath, Finding, Severity

SECTIONS = (
    "What it checks",
    "Why it matters",
    "Model and limits",
    "Example",
    "Do instead",
    "Settings",
    "References",
)
"""Sections of a rule's docstring, in this order."""

FAMILIES = {
    "DOC": "document",
    "KIT": "kit profile",
    "WIR": "wiring",
    "TIM": "timing",
    "FIR": "will it fire",
    "SUP": "supply",
    "SAF": "safety of people",
    "REC": "readings and records",
    "CUT": "cutting of cable",
    "PLG": "plugins",
}

NEVER_IGNORED = frozenset(("DOC017", "PLG001", "PLG002", "PLG003", "PLG004"))
"""Codes that no show can ignore: with them the show was not checked in full, or not rightly."""


@frozen
class Rule:
    """Metadata of a rule. Each rule file has one, named ``RULE``, and a function ``check``."""

    code: str
    name: str
    """Names the fault, in words joined by hyphens."""
    severity: Severity
    since: str = "0.1"
    status: str = "stable"
    at_load: bool = False
    """Whether the finding comes from reading documents (then the file has no ``check``)."""
    needs_odds: bool = False
    """Whether it is silent in a check without odds."""
    last: bool = False
    """Whether it judges what the other rules have found, in ``context.found``."""

    @property
    def family(self) -> str:
        """The three letters of the code."""
        return self.code[:3]

    def finding(self, message: str, path: DocPath = (), **more: Any) -> Finding:
        """Make a finding of this rule; `more` are further fields of `Finding`."""
        severity = more.pop("severity", self.severity)
        return Finding(self.code, message, severity, path, **more)
