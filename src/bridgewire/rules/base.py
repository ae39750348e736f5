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
    """What is known of a rule besides its function: code, name, severity.

    Each rule file has one, named ``RULE``.

    Parameters
    ----------
    code : str
        Family letters and three digits; for a plugin X, two letters of its own and three digits.
    name : str
        Names the fault, in words joined by hyphens.
    severity : Severity
        Of its findings; a finding may have another.
    since : str
        Version that brought the rule.
    status : str
        ``stable``, ``preview`` or ``deprecated``.
    at_load : bool
        Whether the finding comes from reading documents (then the file has no ``check``).
    needs_odds : bool
        Whether it is silent in a check without odds.
    last : bool
        Whether it judges what the other rules have found, in ``context.found``.

    Examples
    --------
    >>> rule = Rule("XAB001", "cue-in-the-interval", Severity.WARNING)
    >>> rule.family, rule.status
    ('XAB', 'stable')
    """

    code: str
    name: str
    severity: Severity
    since: str = "0.1"
    status: str = "stable"
    at_load: bool = False
    needs_odds: bool = False
    last: bool = False

    @property
    def family(self) -> str:
        """The three letters of the code."""
        return self.code[:3]

    def finding(self, message: str, path: DocPath = (), **more: Any) -> Finding:
        """Make a finding of this rule.

        Parameters
        ----------
        message : str
            What is wrong, in one sentence without a full stop.
        path : tuple of str and int
            Where in the document; empty for the whole document.
        **more
            Further fields of `Finding`: ``measured``, ``limit``, ``unit``, ``remedy`` and so on.

        Returns
        -------
        Finding
            With the rule's code, and its severity where `more` states none.

        Examples
        --------
        >>> rule = Rule("XAB001", "cue-in-the-interval", Severity.WARNING)
        >>> rule.finding("cue 'mine' is in the interval", ("cue", 2), remedy="move it")
        <Finding XAB001 warning at cue[2]: "cue 'mine' is in the interval">
        """
        severity = more.pop("severity", self.severity)
        return Finding(self.code, message, severity, path, **more)
