"""Shows for the tests of reports, checked once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from bridgewire.api import Report, check

SHOWS = Path(__file__).parent / "shows"
SMALL = SHOWS / "small.toml"


@cache
def small_report() -> Report:
    """The report of the small show; it was loaded by its absolute path."""
    return check(SMALL)
