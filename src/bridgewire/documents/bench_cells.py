"""Columns of the filled-in trial form of a bench record, and how their cells are read."""

from __future__ import annotations

import re
from collections.abc import Mapping

from attrs import frozen

from bridgewire.documents.cue_cells import read_number, read_seconds

COLUMNS = (
    "trial",
    "shot",
    "igniter",
    "class",
    "place",
    "pulse_s",
    "repeat_times",
    "repeat_gap_s",
    "rest_s",
    "supply_V",
    "lit",
    "order",
    "time_s",
    "state_after",
    "reading_ohm",
    "remark",
)
"""Columns of the form. `trial`, `shot`, `igniter` and `lit` must be there."""
REQUIRED = ("trial", "shot", "igniter", "lit")
OTHER_NAMES = {"run": "trial", "step": "shot"}
"""Headings that mean the same."""
NOT_KNOWN = ("", "?", "-", "unknown")
"""Cells that say nothing."""
_LIT = {"yes": True, "y": True, "true": True, "1": True, "no": False, "n": False}
_LIT |= {"false": False, "0": False}
_INTERVAL = re.compile(r"\s*([0-9.,:]+)\s*(?:\.\.|to|–|-)\s*([0-9.,:]+)\s*")
_LONGEST_TIME = 60
EXPECTED: Mapping[str, str] = {
    "lit": "yes or no; nothing or ? where nobody could tell",
    "order": "a whole number",
    "repeat_times": "a whole number",
    "time_s": "seconds, or an interval such as 0.2 to 0.4",
}
"""What a cell of a column holds, where it is not just a number."""


def read_lit(text: str) -> bool:
    """Read whether an igniter was lit: yes or no, also y, n, true, false, 1 and 0."""
    try:
        return _LIT[text.lower()]
    except KeyError:
        raise ValueError(text) from None


@frozen
class FormCells:
    """Reads the cells of a form; each reader raises ``ValueError`` for what is none."""

    decimal: str = "."

    def number(self, text: str) -> float:
        """Read a number with the form's decimal sign."""
        return read_number(self._with_point(text))

    def time(self, text: str) -> float | dict[str, float]:
        """Read seconds, or an interval of seconds as a band.

        >>> FormCells(",").time("0,2 to 0,4"), FormCells().time("1:02.5")
        ({'min': 0.2, 'max': 0.4}, 62.5)
        """
        found = _INTERVAL.fullmatch(text) if len(text) <= _LONGEST_TIME else None
        if found is None:
            return read_seconds(self._with_point(text))
        low, high = (read_seconds(self._with_point(v)) for v in found.groups())
        return {"min": low, "max": high}

    def _with_point(self, text: str) -> str:
        if self.decimal == ".":
            return text
        if "." in text:
            raise ValueError(text)
        return text.replace(self.decimal, ".")
