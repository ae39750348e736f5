"""What every report says about its own limits and the safety of people."""

from __future__ import annotations

from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import wrap

CAUTIONS = (
    "A computed verdict is no permission to fire. It is only as good as the kit data and the "
    "wiring described here; an article that was damp, cut short or badly clipped is not in it.",
    "Measure the circuits on site with an instrument approved for igniters, from a safe place, "
    "with nobody near the articles; compare with what is expected before the show.",
    "Keep the supply disconnected and the box locked or disarmed while anybody is at the "
    "articles. Treat every igniter that may not have lit as live: wait, disconnect, then approach "
    "as your rules say.",
)
"""Shown with every report, whatever it found."""


def caution_lines(width: int = 80, ink: Ink = PLAIN) -> list[str]:
    """The cautions as lines of text, with a heading."""
    lines = [ink("Cautions", "bold")]
    for caution in CAUTIONS:
        lines += wrap(caution, width, "  ")
    return lines
