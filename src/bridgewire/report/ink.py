"""Colour and weight of text on a terminal. Nothing is told by colour alone."""

from __future__ import annotations

from attrs import frozen

from bridgewire.diagnostics import Severity
from bridgewire.timeline.outcomes import Verdict

_CODES = {"bold": "1", "faint": "2", "red": "31", "yellow": "33", "blue": "34", "magenta": "35"}

_VERDICT = {
    Verdict.SURE: (),
    Verdict.MARGINAL: ("yellow",),
    Verdict.NO: ("bold", "red"),
    Verdict.UNKNOWN: ("magenta",),
}
_SEVERITY = {
    Severity.ERROR: ("bold", "red"),
    Severity.WARNING: ("yellow",),
    Severity.INFO: ("blue",),
}


@frozen
class Ink:
    """How to dress a text; plain where `colour` is false."""

    colour: bool = False

    def __call__(self, text: str, *looks: str) -> str:
        """Dress a text.

        >>> Ink()("sure", "bold"), Ink(True)("sure", "bold")
        ('sure', '\\x1b[1msure\\x1b[0m')
        """
        if not self.colour or not looks:
            return text
        return f"\x1b[{';'.join(_CODES[look] for look in looks)}m{text}\x1b[0m"

    def verdict(self, verdict: Verdict, text: str) -> str:
        """Dress a text that tells a verdict."""
        return self(text, *_VERDICT[verdict])

    def severity(self, severity: Severity, text: str) -> str:
        """Dress a text that tells a severity."""
        return self(text, *_SEVERITY[severity])


PLAIN = Ink()
